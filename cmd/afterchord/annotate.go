package main

import (
	"io"
	"path/filepath"

	"afterchord/render/engraving"
	"afterchord/render/report"
	"afterchord/sim/proof"
	"afterchord/sim/score"
)

// pageOptions are those of a report on a score: the score itself engraved, where it can be.
func pageOptions(p *proof.Proof) report.Options {
	if _, ok := engraving.Library(); !ok {
		return report.Options{}
	}
	sheet, err := engraving.NewSheet(p)
	if err != nil { // too long, or nothing that notation can hold: the page has the picture
		p.Document.Remarks = append(p.Document.Remarks, proof.Remark{Text: "not engraved: " + err.Error()})
	}
	return report.Options{Sheet: sheet}
}

// bars is the score of a proof for the bars of a lesson sheet, nil where they cannot be engraved.
func bars(p *proof.Proof) *engraving.Sheet {
	sheet, err := engraving.NewSheet(p)
	if err != nil {
		return nil
	}
	return sheet
}

// writeAnnotated writes the score with the findings of its proof in it.
func writeAnnotated(s *score.Score, p *proof.Proof, out string) error {
	return writeWhole(filepath.Join(out, engraving.FileName(s)), func(w io.Writer) error {
		return engraving.Annotate(w, s, p)
	})
}
