package desk

import (
	"bytes"
	"mime"
	"net/http"
	"path/filepath"
	"strconv"
	"strings"

	"afterchord/render/engraving"
	"afterchord/render/report"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score/smf"
)

// download gives a file made from a side as it was saved: heard.wav, dry.wav, both with -ears for headphones,
// report.html, report.json, sheet.html (of ?finding=N), score.mid, score.musicxml, or
// annotated: the score with the findings in it, as MIDI or MusicXML.
func (d *Desk) download(w http.ResponseWriter, r *http.Request) error {
	p, err := d.store.Get(r.PathValue("id"))
	if err != nil {
		return err
	}
	s := p.A
	switch r.PathValue("side") {
	case "a":
	case "b":
		if p.B == nil {
			return problemf(http.StatusNotFound, "the project has no version B")
		}
		s = *p.B
	default:
		return problemf(http.StatusNotFound, "there is a version A and a version B")
	}
	name := r.PathValue("name")
	switch name {
	case "score.mid":
		return d.scoreFile(w, p, s)
	case "score.musicxml":
		return d.cleanScore(w, p, s)
	case "heard.wav", "dry.wav", "heard-ears.wav", "dry-ears.wav":
		pr, _, err := d.play(p, s)
		if err != nil {
			return err
		}
		return d.soundFile(w, r, p, pr, name)
	}
	pr, _, err := d.run(r.Context(), p, s)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	switch name {
	case "report.html":
		sheet, _ := engraving.NewSheet(pr) // one that is too long is not engraved
		err = report.WriteHTML(&b, pr.Document, report.Options{Sheet: sheet})
	case "annotated":
		var sc *parsed
		if sc, err = d.scoreOf(p, s); err == nil {
			name = engraving.FileName(sc.score)
			err = engraving.Annotate(&b, sc.score, pr)
		}
	case "report.json":
		err = report.WriteJSON(&b, pr.Document)
	case "sheet.html":
		err = d.sheet(&b, r, p, s, pr)
	default:
		err = problemf(http.StatusNotFound, "there is no file %q", clip(name))
	}
	if err != nil {
		return err
	}
	sendFile(w, p.Name, name, b.Bytes())
	return nil
}

// sendFile offers data to be kept under the project's name.
func sendFile(w http.ResponseWriter, project, name string, data []byte) {
	attach(w, project, name)
	w.Header().Set("Content-Length", strconv.Itoa(len(data)))
	_, _ = w.Write(data)
}

func attach(w http.ResponseWriter, project, name string) {
	full := strings.Map(func(r rune) rune {
		if strings.ContainsRune(`/\:*?"<>|`, r) {
			return '-'
		}
		return r
	}, strings.Replace(project+" "+name, " "+wholeExt, wholeExt, 1))
	h := w.Header()
	h.Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": full}))
	h.Set("Cache-Control", "no-store")
	switch filepath.Ext(name) {
	case ".html":
		h.Set("Content-Type", "text/html; charset=utf-8")
	case ".json":
		h.Set("Content-Type", "application/json; charset=utf-8")
	case ".musicxml":
		h.Set("Content-Type", "application/vnd.recordare.musicxml+xml; charset=utf-8")
	case ".mid":
		h.Set("Content-Type", "audio/midi")
	case ".zip":
		h.Set("Content-Type", "application/zip")
	case ".wav":
		h.Set("Content-Type", "audio/wav")
	}
}

// scoreFile gives the score of a side as MIDI: a MIDI file as it is, notation written as MIDI.
func (d *Desk) scoreFile(w http.ResponseWriter, p *Project, s Side) error {
	f := p.Scores[s.Score]
	if filepath.Ext(f.File) == ".mid" {
		data, err := d.store.Read(p.ID, f.File)
		if err != nil {
			return err
		}
		sendFile(w, p.Name, "score.mid", data)
		return nil
	}
	sc, err := d.scoreOf(p, s)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := smf.Write(&b, sc.score); err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	sendFile(w, p.Name, "score.mid", b.Bytes())
	return nil
}

// cleanScore gives the score of a side as MusicXML, without anything that a proof has written into it.
func (d *Desk) cleanScore(w http.ResponseWriter, p *Project, s Side) error {
	sc, err := d.scoreOf(p, s)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := engraving.WriteClean(&b, sc.score); err != nil {
		return problem{http.StatusUnprocessableEntity, err}
	}
	sendFile(w, p.Name, "score.musicxml", b.Bytes())
	return nil
}

// sheet writes the lesson sheet of a finding: of a rewritten score against the one it was
// rewritten from, else of the score alone.
func (d *Desk) sheet(b *bytes.Buffer, r *http.Request, p *Project, s Side, pr *proof.Proof) error {
	id, _ := strconv.Atoi(r.URL.Query().Get("finding"))
	sheet := report.Sheet{Before: pr.Document}
	if f := p.Scores[s.Score]; f.Side != nil {
		before, _, err := d.run(r.Context(), p, *f.Side)
		if err != nil {
			return err
		}
		sheet.Before, sheet.After, sheet.Remedy = before.Document, pr.Document, f.Why
		if id == 0 {
			id = f.Finding
		}
	}
	f, err := pick(sheet.Before.Findings, id)
	if err != nil {
		return err
	}
	sheet.Finding = f
	return report.WriteSheet(b, sheet)
}

func pick(fs []finding.Finding, id int) (finding.Finding, error) {
	for _, f := range fs {
		if f.ID == id {
			return f, nil
		}
	}
	if len(fs) == 0 {
		return finding.Finding{}, problemf(http.StatusNotFound, "there is no finding to make a sheet of")
	}
	return fs[0], nil
}
