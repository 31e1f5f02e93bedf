// Command cases prints how the findings and the rewritings fare on the coach's cases, as seeded pages and
// well-written twins:
//
//	go run ./cmd/cases -n 50 -mend 10
//	go run ./cmd/cases -case "broken chords" -which
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"strings"

	"afterchord/sim/casebook"
)

func main() {
	n := flag.Int("n", 50, "pages of each case, and as many twins")
	mend := flag.Int("mend", 10, "pages of each case on which the rewritings are tried")
	only := flag.String("case", "", "only the cases whose name has this in it")
	which := flag.Bool("which", false, "say which pages were missed, found for nothing or left without help")
	flag.Parse()
	if flag.NArg() > 0 || *n < 1 || *mend < 0 {
		fmt.Fprintln(os.Stderr, "cases takes numbers only; for example: cases -n 50 -mend 10")
		os.Exit(2)
	}
	var cases []casebook.Case
	for _, c := range casebook.Cases {
		if strings.Contains(c.Name, *only) {
			cases = append(cases, c)
		}
	}
	rows, err := casebook.Measure(context.Background(), cases, *n, *mend)
	if err == nil {
		err = casebook.WriteTable(os.Stdout, rows)
	}
	if *which {
		for _, r := range rows {
			fmt.Printf("%s: missed %v, found for nothing %v, no help for %v\n", r.Case, r.Missed, r.Heard, r.Helpless)
		}
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
