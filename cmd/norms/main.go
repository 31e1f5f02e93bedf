// Command norms measures how often organ music has what the acoustic checks measure, and writes the table that
// the program carries:
//
//	go run ./cmd/norms FOLDER > norms.json && mv norms.json sim/finding/norms.json
//
// Each score of FOLDER is played in rooms of 0.5 to 8 s; in each room on every built-in organ, at p, mf and ff and at
// the written tempo, a tenth slower and a tenth faster, in turn (a Latin square over works, rooms and organs, so that every
// value of each meets every value of the others). How each composer fares by the table of all others goes to standard error.
package main

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"runtime"

	"afterchord/cmd/internal/repertoire"
	"afterchord/cmd/internal/works"
)

func main() {
	seconds := flag.Float64("seconds", repertoire.Seconds, "measure so much of each work, from its beginning")
	flag.Usage = func() {
		fmt.Fprintln(os.Stderr, "usage: norms [-seconds S] FOLDER   (a folder of organ scores); for example: norms corpus/organ > norms.json")
		flag.PrintDefaults()
	}
	flag.Parse()
	if flag.NArg() != 1 {
		flag.Usage()
		os.Exit(2)
	}
	if err := run(flag.Arg(0), *seconds); err != nil {
		fmt.Fprintln(os.Stderr, "norms:", err)
		os.Exit(1)
	}
}

func run(folder string, seconds float64) error {
	all, err := works.Read(folder)
	if err != nil {
		return err
	}
	got, err := repertoire.Measure(all, seconds, runtime.GOMAXPROCS(0))
	if err != nil {
		return err
	}
	n := repertoire.Table(got, "")
	repertoire.WriteLeaveOneOut(os.Stderr, got)
	w := bufio.NewWriter(os.Stdout)
	if err := write(w, n); err != nil {
		return err
	}
	return w.Flush()
}

// write is the table in JSON, a line for each row.
func write(w *bufio.Writer, n any) error {
	enc := json.NewEncoder(w)
	return enc.Encode(n)
}
