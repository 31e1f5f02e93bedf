package musicxml

import "fmt"

// FormatError is a fault of a file and where it lies. Part and Bar are "" where it concerns the whole file or
// the XML alone.
type FormatError struct {
	Line   int   // from 1, of the unpacked text; 0 where it is not known
	Offset int64 // bytes from the start of the unpacked text; 0 where it is not known
	Part   string
	Bar    string
	What   string
}

// Error is one line: "line 12: …", "part P1 (Organ), bar 9: …".
func (e *FormatError) Error() string {
	where := ""
	switch {
	case e.Part != "" && e.Bar != "":
		where = fmt.Sprintf("%s, bar %s: ", e.Part, e.Bar)
	case e.Part != "":
		where = e.Part + ": "
	case e.Bar != "":
		where = fmt.Sprintf("bar %s: ", e.Bar)
	case e.Line > 0:
		where = fmt.Sprintf("line %d: ", e.Line)
	}
	return where + e.What
}

// faultf is a fault of the file as a whole.
func faultf(format string, args ...any) error {
	return &FormatError{What: fmt.Sprintf(format, args...)}
}
