package stoplist

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestDump(t *testing.T) {
	files, _ := filepath.Glob(os.Getenv("LISTS"))
	for _, f := range files {
		data, _ := os.ReadFile(f)
		_, text, _ := strings.Cut(string(data), "\n")
		l := Read(text)
		fmt.Println("=====", filepath.Base(f), l.Language, l.Title, fmt.Sprintf("%+v", l.Facts))
		for _, line := range l.Lines {
			for i, r := range line.Readings {
				s := line.Text
				if i > 0 {
					s = ""
				}
				ask := r.Ask
				if ask != "" {
					ask = "  ?? " + ask
				}
				fmt.Printf("%-45.45s | %-9.9s | %s%s\n", s, r.What, r.Text, ask)
			}
		}
		for _, a := range l.Assumed {
			fmt.Println("  assumed:", a)
		}
	}
}
