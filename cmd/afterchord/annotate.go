package main

import (
	"io"
	"path/filepath"
	"sync"

	"afterchord/render/engraving"
	"afterchord/render/report"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// engraved is a score as pages engrave it, made when it is first asked for. It errs where the score cannot be engraved.
type engraved func() (*engraving.Music, error)

func engrave(s *score.Score, o *voicing.Organ) engraved {
	return sync.OnceValues(func() (*engraving.Music, error) { return engraving.NewMusic(s, o) })
}

// begin engraves the score on another core, if there are pages to hold it: nothing in it depends on what is found.
func (e engraved) begin() {
	if _, ok := engraving.Library(); ok {
		go e()
	}
}

// bars is the score with the findings of its proof over it, nil where it cannot be engraved.
func (e engraved) bars(p *proof.Proof) *engraving.Sheet {
	m, err := e()
	if err != nil {
		return nil
	}
	return m.Sheet(p)
}

// pageOptions are those of a report on a score: the score itself engraved, where it can be.
func (e engraved) pageOptions(p *proof.Proof) report.Options {
	if _, ok := engraving.Library(); !ok {
		return report.Options{}
	}
	if _, err := e(); err != nil { // too long, or nothing that notation can hold: the page has the picture
		p.Document.Remarks = append(p.Document.Remarks, proof.Remark{Text: "not engraved: " + err.Error()})
	}
	return report.Options{Sheet: e.bars(p)}
}

// writeAnnotated writes the score with the findings of its proof in it.
func writeAnnotated(s *score.Score, p *proof.Proof, out string) error {
	return writeResult(filepath.Join(out, engraving.FileName(s)), func(w io.Writer) error {
		return engraving.Annotate(w, s, p)
	})
}
