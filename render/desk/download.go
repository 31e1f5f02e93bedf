package desk

import (
	"mime"
	"net/http"
	"path/filepath"
	"strconv"
	"strings"

	"afterchord/sim/finding"
)

// download gives a file made from a side as it was saved: its sound, heard.wav or dry.wav, both with -ears for
// headphones, or one of the exports.
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
	case "heard.wav", "dry.wav", "heard-ears.wav", "dry-ears.wav":
		pr, _, err := d.play(p, s)
		if err != nil {
			return err
		}
		return d.soundFile(w, r, p, pr, name)
	}
	for _, x := range exports {
		if x.name == name {
			e := exporting{d: d, r: r, project: p, side: s, name: name}
			if err := x.write(&e); err != nil {
				return err
			}
			sendFile(w, p.Name, e.name, e.out.Bytes())
			return nil
		}
	}
	return problemf(http.StatusNotFound, "there is no file %q", clip(name))
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
