// Package table prints a report for the terminal.
package table

import (
	"io"
	"os"

	"golang.org/x/term"

	"afterchord/sim/proof"
)

// Options say what the terminal can show.
type Options struct {
	Width int  // columns; 0 means 100
	Lines int  // most lines a table may take; 0 means 40
	Plain bool // ASCII only, no colour
	All   bool // every finding, however long
}

// For asks f: the width of the terminal, plain where it is none or NO_COLOR is set.
func For(f *os.File) Options {
	o := Options{Plain: true}
	if f == nil || !term.IsTerminal(int(f.Fd())) {
		return o
	}
	if w, _, err := term.GetSize(int(f.Fd())); err == nil && w > 0 {
		o.Width = w
	}
	o.Plain = os.Getenv("NO_COLOR") != "" || os.Getenv("TERM") == "dumb"
	return o
}

// Findings prints the findings, the worst first, on no more than a page.
func Findings(w io.Writer, d *proof.Document, o Options) error { return nil }

// Settings prints what the run was made with and what was assumed.
func Settings(w io.Writer, d *proof.Document, o Options) error { return nil }
