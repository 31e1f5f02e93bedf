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
	"bytes"
	"flag"
	"fmt"
	"io"
	"os"
	"runtime"
)

func main() {
	each := flag.Bool("works", false, "print each work's rates, too")
	others := flag.Bool("others", false, "judge each composer by norms made without them, too (two minutes more)")
	picture := flag.String("curves", "", "draw recall against false alarms into this SVG `file`")
	flag.Usage = func() {
		fmt.Fprintln(os.Stderr, "usage: judge [-works] [-others] [-curves FILE] FOLDER...   (each with the folders organ and piano); for example: judge corpus")
		flag.PrintDefaults()
	}
	flag.Parse()
	if flag.NArg() == 0 {
		flag.Usage()
		os.Exit(2)
	}
	if err := run(flag.Args(), *each, *others, *picture); err != nil {
		fmt.Fprintln(os.Stderr, "judge:", err)
		os.Exit(1)
	}
}

func run(folders []string, each, others bool, picture string) error {
	var drawn *bytes.Buffer
	var to io.Writer
	if picture != "" {
		drawn = &bytes.Buffer{}
		to = drawn
	}
	w := bufio.NewWriter(os.Stdout)
	err := judge(w, folders, each, others, to, runtime.GOMAXPROCS(0))
	if e := w.Flush(); err == nil {
		err = e
	}
	if err != nil || drawn == nil {
		return err
	}
	return os.WriteFile(picture, drawn.Bytes(), 0o644)
}
