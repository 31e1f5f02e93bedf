package desk

import (
	"bytes"
	"compress/gzip"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"strings"

	"afterchord/render/engraving"
)

// notationAssets are the addresses of what a page needs to engrave; each has its content's
// hash in it, so that a browser keeps it for good.
type notationAssets struct {
	Library  string `json:"library"`
	Script   string `json:"script"`
	Style    string `json:"style"`
	Licences string `json:"licences"`
}

// engraver is the engraving library with its packed script, and the rest of what goes with it.
type engraver struct {
	notationAssets
	files map[string]engraverFile // by name
}

type engraverFile struct {
	kind   string // media type
	tag    string // of the content
	data   []byte
	packed bool // data is gzip
}

// builtInEngraver is nil where there is none.
func builtInEngraver() *engraver {
	e, ok := engraving.Library()
	if !ok {
		return nil
	}
	return newEngraver(e)
}

// newEngraver is nil where the program was built without the library, or with a damaged one.
func newEngraver(e engraving.Engraver) *engraver {
	packed, err := e.Gzip()
	if err != nil || len(packed) == 0 {
		return nil
	}
	x := &engraver{files: map[string]engraverFile{
		"library.js":   {kind: mediaTypes[".js"], data: packed, packed: true},
		"engraved.js":  {kind: mediaTypes[".js"], data: []byte(engraving.Script)},
		"engraved.css": {kind: mediaTypes[".css"], data: []byte(engraving.Style)},
		"licences.txt": {kind: "text/plain; charset=utf-8", data: []byte(e.Licences)},
	}}
	for name, f := range x.files {
		f.tag = sumOf(f.data)
		x.files[name] = f
	}
	address := func(name string) string { return "/engraving/" + name + "?" + x.files[name].tag }
	x.notationAssets = notationAssets{address("library.js"), address("engraved.js"), address("engraved.css"), address("licences.txt")}
	return x
}

// engraverAsset sends a file of the engraving library: packed as it is to browsers that take it so.
func (d *Desk) engraverAsset(w http.ResponseWriter, r *http.Request) error {
	e := d.engraver()
	if e == nil {
		return errNoEngraver
	}
	f, ok := e.files[r.PathValue("name")]
	if !ok {
		return problemf(http.StatusNotFound, "there is no such file")
	}
	h := w.Header()
	h.Set("ETag", `"`+f.tag+`"`)
	h.Set("Vary", "Accept-Encoding")
	h.Set("Cache-Control", "no-cache")
	if r.URL.RawQuery == f.tag {
		h.Set("Cache-Control", "private, max-age=31536000, immutable")
	}
	if strings.Contains(r.Header.Get("If-None-Match"), `"`+f.tag+`"`) {
		w.WriteHeader(http.StatusNotModified)
		return nil
	}
	h.Set("Content-Type", f.kind)
	if !f.packed || strings.Contains(r.Header.Get("Accept-Encoding"), "gzip") {
		if f.packed {
			h.Set("Content-Encoding", "gzip")
		}
		_, _ = w.Write(f.data)
		return nil
	}
	z, err := gzip.NewReader(bytes.NewReader(f.data))
	if err == nil {
		_, err = io.Copy(w, z)
	}
	return err
}

var errNoEngraver = problemf(http.StatusNotFound, "this program was built without the engraving library")

type notationRequest struct {
	Side Side `json:"side"`
	// Music asks for the music alone, without waiting for what is found in it.
	Music bool   `json:"music"`
	Have  string `json:"have"` // keys of the music that the page has engraved, with spaces between
}

// notationReply is the score of a side for engraving and the places of the findings on it. Tuning
// the building moves the places only: the music keeps its key, and is not sent again to a page that has it.
type notationReply struct {
	Key      string             `json:"key,omitempty"`
	MusicXML string             `json:"musicxml,omitempty"` // "" where the page has it
	Bars     int                `json:"bars,omitempty"`
	Guessed  bool               `json:"guessed,omitempty"` // from a MIDI file
	Places   []engraving.Place  `json:"places,omitempty"`
	Moments  []engraving.Moment `json:"moments,omitempty"`
	Not      string             `json:"not,omitempty"` // why it is not engraved
}

// music is a score prepared for engraving, or why it cannot be.
type music struct {
	*engraving.Music
	key string
	not string
}

// notation prepares a side for the page to engrave.
func (d *Desk) notation(w http.ResponseWriter, r *http.Request) error {
	if d.engraver() == nil {
		return errNoEngraver
	}
	p, err := d.store.Get(r.PathValue("id"))
	if err != nil {
		return err
	}
	var in notationRequest
	if err := readJSON(w, r, &in); err != nil {
		return err
	}
	m, err := d.musicOf(p, in.Side)
	if err != nil {
		return err
	}
	if m.not != "" {
		writeJSON(w, http.StatusOK, notationReply{Not: m.not})
		return nil
	}
	reply := notationReply{Key: m.key, Bars: m.Bars, Guessed: m.Guessed}
	if !in.Music {
		pr, _, err := d.run(r.Context(), p, in.Side)
		if err != nil {
			return err
		}
		reply.Places, reply.Moments = engraving.NewPlaces(pr), engraving.NewMoments(pr.Score)
	}
	if !strings.Contains(in.Have, m.key) {
		reply.MusicXML = m.MusicXML
	}
	writeJSON(w, http.StatusOK, reply)
	return nil
}

// musicOf prepares the score of a side as it is written, whatever its tempo, or takes what was prepared before.
func (d *Desk) musicOf(p *Project, s Side) (*music, error) {
	in, _, err := d.input(p, s)
	if err != nil {
		return nil, err
	}
	dynamics, err := json.Marshal(s.Dynamics)
	if err != nil {
		return nil, err
	}
	_, organ, err := d.organOf(p, s)
	if err != nil {
		return nil, err
	}
	key := fmt.Sprint(p.ID, "/", p.Scores[s.Score].File, "\n", organ, "\n", s.AsPrinted, " ", s.Upbeat, "\n", string(dynamics))
	if m, ok := d.music.get(key); ok {
		return m, nil
	}
	m := &music{}
	if m.Music, err = engraving.NewMusic(in.Score, in.Organ); err != nil {
		m.not = err.Error()
	} else {
		m.key = sumOf([]byte(m.MusicXML))
	}
	d.music.put(key, m)
	return m, nil
}
