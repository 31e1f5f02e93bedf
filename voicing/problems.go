package voicing

import (
	"fmt"
	"strings"
)

// Problem is one mistake in a file: where, what, and what to do about it.
type Problem struct {
	File string
	Line int // from 1
	What string
	Do   string
}

// Error writes the problem as "file:line: what; what to do".
func (p Problem) Error() string {
	s := fmt.Sprintf("%s:%d: %s", p.File, p.Line, p.What)
	if p.Do != "" {
		s += "; " + p.Do
	}
	return s
}

// Problems is every mistake found in a file, by line. It is the error that [Parse] and
// [ParseStopsFile] return.
type Problems []Problem

// Error writes one problem a line.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i := range p {
		lines[i] = p[i].Error()
	}
	return strings.Join(lines, "\n")
}
