package stoplist

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"afterchord/voicing"
)

func TestDumpTOML(t *testing.T) {
	files, _ := filepath.Glob(os.Getenv("LISTS"))
	for _, f := range files {
		data, _ := os.ReadFile(f)
		_, text, _ := strings.Cut(string(data), "\n")
		src, o, err := Read(text).Organ("organ")
		if err != nil {
			fmt.Println(f, "ERROR", err)
			continue
		}
		if os.Getenv("SHOW") != "" {
			fmt.Println(string(src))
		}
		n, bad := 0, 0
		for _, s := range voicing.PlanSteps(o) {
			n++
			if !s.First && (s.StepDB < 4 || s.StepDB > 8) {
				bad++
			}
		}
		fmt.Println(filepath.Base(f), "marks", n, "uneven", bad, voicing.PlanRemarks(o))
	}
}
