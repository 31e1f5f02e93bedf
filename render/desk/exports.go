package desk

import (
	"bytes"
	"net/http"
	"path/filepath"
	"strconv"

	"afterchord/render/engraving"
	"afterchord/render/report"
	"afterchord/sim/compare"
	"afterchord/sim/proof"
	"afterchord/sim/score/smf"
)

// exports are the files that a side can be kept as, beside its sound. To add one, add a row here, and its words to the list in
// assets/keep.js.
var exports = []struct {
	name  string // by which the page asks for it
	write func(*exporting) error
}{
	{"report.html", func(e *exporting) error {
		return e.ofRun(func(pr *proof.Proof) error {
			sheet, _ := engraving.NewSheet(pr) // one that is too long is not engraved
			return report.WriteHTML(&e.out, pr.Document, report.Options{Sheet: sheet, Language: languageOf(e.r)})
		})
	}},
	{"report.json", func(e *exporting) error {
		return e.ofRun(func(pr *proof.Proof) error { return report.WriteJSON(&e.out, pr.Document) })
	}},
	{"sheet.html", func(e *exporting) error { return e.ofRun(e.sheet) }},
	{"beside.html", func(e *exporting) error { return e.ofRun(e.beside) }},
	{"annotated", func(e *exporting) error { return e.ofRun(e.annotated) }},
	{"score.mid", (*exporting).midi},
	{"score.musicxml", (*exporting).clean},
}

// exporting is a file in the making.
type exporting struct {
	d       *Desk
	r       *http.Request
	project *Project
	side    Side

	name string // under which it is kept; the ending says what it is
	out  bytes.Buffer
}

// ofRun has write make the file from the run of the side.
func (e *exporting) ofRun(write func(*proof.Proof) error) error {
	pr, _, err := e.d.run(e.r.Context(), e.project, e.side)
	if err != nil {
		return err
	}
	return write(pr)
}

// annotated is the score with the findings in it, as MIDI or MusicXML.
func (e *exporting) annotated(pr *proof.Proof) error {
	sc, err := e.d.scoreOf(e.project, e.side)
	if err != nil {
		return err
	}
	e.name = engraving.FileName(sc.score)
	return engraving.Annotate(&e.out, sc.score, pr)
}

// midi is the score as MIDI: a MIDI file as it is, notation written as MIDI.
func (e *exporting) midi() error {
	f := e.project.Scores[e.side.Score]
	if filepath.Ext(f.File) == ".mid" {
		data, err := e.d.store.Read(e.project.ID, f.File)
		e.out.Write(data)
		return err
	}
	sc, err := e.d.scoreOf(e.project, e.side)
	if err != nil {
		return err
	}
	if err := smf.Write(&e.out, sc.score); err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	return nil
}

// clean is the score as MusicXML, without anything that a proof has written into it.
func (e *exporting) clean() error {
	sc, err := e.d.scoreOf(e.project, e.side)
	if err != nil {
		return err
	}
	organ, _, err := e.d.organOf(e.project, e.side)
	if err != nil {
		return err
	}
	if err := engraving.WriteClean(&e.out, sc.score, organ); err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	return nil
}

// sheet is the lesson sheet of a finding (?finding=N): of a rewritten score against the one it was rewritten from,
// else of the score alone.
func (e *exporting) sheet(pr *proof.Proof) error {
	id, _ := strconv.Atoi(e.r.URL.Query().Get("finding"))
	sheet := report.Sheet{Before: pr.Document, Language: languageOf(e.r)}
	old := pr
	if f := e.project.Scores[e.side.Score]; f.Side != nil {
		before, _, err := e.d.run(e.r.Context(), e.project, *f.Side)
		if err != nil {
			return err
		}
		sheet.Before, sheet.After, sheet.Remedy, old = before.Document, pr.Document, f.Why, before
		sheet.Scores[1] = engraved(pr)
		if id == 0 {
			id = f.Finding
		}
	}
	f, err := pick(sheet.Before.Findings, id)
	if err != nil {
		return err
	}
	sheet.Finding, sheet.Scores[0] = f, engraved(old)
	return report.WriteSheet(&e.out, sheet)
}

// beside is the page of version A beside version B where there are two, else of a rewritten score beside the one it was rewritten from.
func (e *exporting) beside(pr *proof.Proof) error {
	run := func(s Side) (*proof.Proof, error) {
		p, _, err := e.d.run(e.r.Context(), e.project, s)
		return p, err
	}
	a, b := pr, pr
	var page report.Mended
	var err error
	switch f := e.project.Scores[e.side.Score]; {
	case e.project.B != nil:
		if a, err = run(e.project.A); err != nil {
			return err
		}
		if b, err = run(*e.project.B); err != nil {
			return err
		}
		page = report.NewCompared(a.Document, b.Document, compare.Documents(a.Document, b.Document))
	case f.Side != nil:
		if a, err = run(*f.Side); err != nil {
			return err
		}
		against, err := pick(a.Document.Findings, f.Finding)
		if err != nil {
			return err
		}
		page = report.NewRewritten(a.Document, b.Document, against, f.Why)
	default:
		return problemf(http.StatusNotFound, "there is one version, and nothing to set beside it")
	}
	page.Scores[0], page.Scores[1], page.Language = engraved(a), engraved(b), languageOf(e.r)
	return report.WriteMended(&e.out, page)
}

// engraved is the score of a proof for engraving, nil where it cannot be written as notation.
func engraved(p *proof.Proof) *engraving.Sheet {
	s, err := engraving.NewSheet(p)
	if err != nil {
		return nil
	}
	return s
}
