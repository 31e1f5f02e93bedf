// Command judge says how well the findings tell music that organists play from music written for
// the piano: fails and warnings a minute in three rooms, and how often the rate of a piano work is
// above that of an organ work (the area under the receiver operating characteristic, 0.5 is chance).
//
//	go run ./cmd/judge FOLDER...
//
// Each FOLDER holds the folders organ and piano with scores in them.
package main

import (
	"bufio"
	"flag"
	"fmt"
	"os"
	"runtime"
)

func main() {
	each := flag.Bool("works", false, "print each work's rates, too")
	flag.Usage = func() {
		fmt.Fprintln(os.Stderr, "usage: judge [-works] FOLDER...   (each with the folders organ and piano); for example: judge corpus")
		flag.PrintDefaults()
	}
	flag.Parse()
	if flag.NArg() == 0 {
		flag.Usage()
		os.Exit(2)
	}
	w := bufio.NewWriter(os.Stdout)
	err := judge(w, flag.Args(), *each, runtime.GOMAXPROCS(0))
	if e := w.Flush(); err == nil {
		err = e
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, "judge:", err)
		os.Exit(1)
	}
}
