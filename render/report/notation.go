package report

import (
	"compress/gzip"
	_ "embed" // the notation's script and style
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"afterchord/render/engraving"
	"afterchord/render/internal/words"
	"afterchord/render/terms"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

var (
	//go:embed notation.js
	notationJS string
	//go:embed notation.css
	notationCSS string
)

// notationScript engraves and knows this page; notationStyle goes with it.
var (
	notationScript = sync.OnceValue(func() string { return engraving.Script + notationJS })
	notationStyle  = sync.OnceValue(func() string { return engraving.Style + notationCSS })
)

// notation is what the page needs to engrave the score: the library and what it is to draw, both
// packed, for they would be several times larger than the rest of the page.
type notation struct {
	Library  template.HTML // libraryMark
	Hash     string        // of the library
	JS       template.JS
	Data     template.HTML // base64 of packed JSON
	Licences string
	Guessed  bool // from a MIDI file
}

// notationMark is a finding over the bars.
type notationMark struct {
	engraving.Place
	AtS   float64   `json:"at"`
	Class string    `json:"class"`
	Shape string    `json:"shape"`
	Words [2]string `json:"words"`
	Label string    `json:"label"`
}

// newNotation is nil where there is no sheet, or no library in the program.
func newNotation(d *proof.Document, s *engraving.Sheet, l *terms.Language) (*notation, error) {
	e, ok := engraving.Library()
	if s == nil || !ok {
		return nil, nil
	}
	packed, err := pack(newEngravedScore(d, s, l))
	if err != nil {
		return nil, fmt.Errorf("report: the notation cannot be put into the page: %w", err)
	}
	return &notation{Library: libraryMark, Hash: e.Hash, JS: template.JS(notationScript()), Data: packed, Licences: e.Licences, Guessed: s.Guessed}, nil
}

// engravedScore is a whole score with the findings over its bars, as a script draws it.
type engravedScore struct {
	MusicXML string             `json:"musicxml"`
	Bars     int                `json:"bars"`
	Marks    []notationMark     `json:"marks"`
	Moments  []engraving.Moment `json:"moments"`
}

func newEngravedScore(d *proof.Document, s *engraving.Sheet, l *terms.Language) engravedScore {
	out := engravedScore{s.MusicXML, s.Bars, []notationMark{}, s.Moments}
	fs := words.WorstFirst(d.Findings)
	for _, f := range fs[:min(len(fs), mostFindings)] {
		i := slices.IndexFunc(s.Places, func(p engraving.Place) bool { return p.ID == f.ID })
		if i < 0 {
			continue
		}
		out.Marks = append(out.Marks, newMark(s.Places[i], f, l))
	}
	return out
}

func newMark(p engraving.Place, f finding.Finding, l *terms.Language) notationMark {
	m, kind := severity(f.Severity), l.Or(words.Kind(f.Kind))
	return notationMark{Place: p, AtS: math.Round(f.AtS*1000) / 1000, Class: m.Class, Shape: m.Shape, Words: [2]string{fmt.Sprintf("%d %s", f.ID, kind), strconv.Itoa(f.ID)},
		Label: fmt.Sprintf("%d %s, %s: %s", f.ID, kind, l.Or(words.Place(f)), l.Or(m.Word))}
}

// pack makes a text for a page of what its script unpacks: JSON, compressed, in base64.
func pack(data any) (template.HTML, error) {
	var packed strings.Builder
	text := base64.NewEncoder(base64.StdEncoding, &packed)
	z, _ := gzip.NewWriterLevel(text, gzip.BestSpeed) // half as large again as the best, in a fifth of the time
	j := json.NewEncoder(z)
	j.SetEscapeHTML(false) // it is packed
	err := errors.Join(j.Encode(data), z.Close(), text.Close())
	return template.HTML(packed.String()), err
}
