// Command cases prints how the findings and the rewritings fare on the coach's cases, as seeded pages and
// well-written twins:
//
//	go run ./cmd/cases -n 50 -mend 10
package main

import (
	"context"
	"flag"
	"fmt"
	"os"

	"afterchord/sim/casebook"
)

func main() {
	n := flag.Int("n", 50, "pages of each case, and as many twins")
	mend := flag.Int("mend", 10, "pages of each case on which the rewritings are tried")
	flag.Parse()
	if flag.NArg() > 0 || *n < 1 || *mend < 0 {
		fmt.Fprintln(os.Stderr, "cases takes numbers only; for example: cases -n 50 -mend 10")
		os.Exit(2)
	}
	rows, err := casebook.Measure(context.Background(), casebook.Cases, *n, *mend)
	if err == nil {
		err = casebook.WriteTable(os.Stdout, rows)
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
