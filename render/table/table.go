// Package table prints a report for the terminal: the findings on no more than a
// page, and what the run was made with.
package table

import (
	"os"

	"github.com/jedib0t/go-pretty/v6/table"
	"github.com/jedib0t/go-pretty/v6/text"
	"golang.org/x/term"

	"afterchord/render/terms"
)

// Options say what the terminal can show.
type Options struct {
	Width int       // columns; 0 means 100
	Lines int       // most lines a table may take; 0 means 40
	Plain bool      // ASCII only, no colour
	All   bool      // every finding, however long the table
	Terms terms.Set // of note values and bars; empty stands for British

	rows int // most lines a finding may take
}

// For asks f: the width of the terminal; plain where f is none or NO_COLOR is set
// (no-color.org).
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

func (o Options) width() int {
	if o.Width <= 0 {
		return 100
	}
	return max(40, o.Width)
}

func (o Options) lines() int {
	if o.Lines <= 0 {
		return 40
	}
	return max(8, o.Lines)
}

// style is the look of all tables: a rule under the head, no other lines.
func (o Options) style() table.Style {
	s := table.StyleLight
	if o.Plain {
		s = table.StyleDefault
	}
	s.Options = table.Options{SeparateHeader: true}
	s.Format.Header = text.FormatDefault
	s.Box.PaddingLeft, s.Box.PaddingRight = "", "  "
	return s
}
