package report

import (
	"bytes"
	"compress/gzip"
	_ "embed" // the notation's script and style
	"encoding/base64"
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"slices"

	"afterchord/render/engraving"
	"afterchord/render/internal/words"
	"afterchord/sim/proof"
)

var (
	//go:embed notation.js
	notationJS string
	//go:embed notation.css
	notationCSS string
)

// notation is what the page needs to engrave the score: the library and what it is to draw, both
// packed, for they would be several times larger than the rest of the page.
type notation struct {
	Library  template.HTML // base64
	JS       template.JS
	Data     template.HTML // base64 of packed JSON
	Licences string
	Guessed  bool // from a MIDI file
}

// notationMark is a finding over the bars.
type notationMark struct {
	ID        int     `json:"id"`
	AtS       float64 `json:"at"`
	FromBar   int     `json:"fromBar"`
	ToBar     int     `json:"toBar"`
	FromStaff int     `json:"fromStaff"`
	ToStaff   int     `json:"toStaff"`
	Class     string  `json:"class"`
	Shape     string  `json:"shape"`
	Label     string  `json:"label"`
}

// newNotation is nil where there is no sheet, or no library in the program.
func newNotation(d *proof.Document, s *engraving.Sheet) (*notation, error) {
	e, ok := engraving.Library()
	if s == nil || !ok {
		return nil, nil
	}
	data := struct {
		MusicXML string         `json:"musicxml"`
		Bars     int            `json:"bars"`
		Marks    []notationMark `json:"marks"`
	}{s.MusicXML, s.Bars, []notationMark{}}
	fs := words.WorstFirst(d.Findings)
	for _, f := range fs[:min(len(fs), mostFindings)] {
		i := slices.IndexFunc(s.Places, func(p engraving.Place) bool { return p.ID == f.ID })
		if i < 0 {
			continue
		}
		p, m := s.Places[i], severity(f.Severity)
		data.Marks = append(data.Marks, notationMark{ID: f.ID, AtS: math.Round(f.AtS*1000) / 1000, FromBar: p.FromBar, ToBar: p.ToBar,
			FromStaff: p.FromStaff, ToStaff: p.ToStaff, Class: m.Class, Shape: m.Shape,
			Label: fmt.Sprintf("%s %d, %s: %s", m.Word, f.ID, words.Place(f), words.Kind(f.Kind))})
	}
	var packed bytes.Buffer
	z := gzip.NewWriter(&packed)
	err := json.NewEncoder(z).Encode(data)
	if err2 := z.Close(); err == nil {
		err = err2
	}
	if err != nil {
		return nil, fmt.Errorf("report: the notation cannot be put into the page: %w", err)
	}
	return &notation{Library: template.HTML(base64.StdEncoding.EncodeToString(e.Packed)), JS: template.JS(notationJS), Data: template.HTML(base64.StdEncoding.EncodeToString(packed.Bytes())),
		Licences: e.Licences, Guessed: s.Guessed}, nil
}
