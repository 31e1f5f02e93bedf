package report

import (
	_ "embed" // the script of the engraved bars
	"html/template"
	"slices"

	"afterchord/render/engraving"
	"afterchord/sim/finding"
)

//go:embed passage.js
var passageJS string

// passageScript engraves the bars of a lesson sheet.
var passageScript = engraving.Script + passageJS

// mostEngraved is how many bars a lesson sheet engraves: as many as a line or two of it take.
const mostEngraved = 5

// engravedPassage is a score of which some bars are drawn, with the finding over them.
type engravedPassage struct {
	MusicXML string         `json:"musicxml,omitempty"`
	From     int            `json:"from"` // printed bars, from 0, both drawn
	To       int            `json:"to"`
	Marks    []notationMark `json:"marks"`
}

// newPassages is what the sheet needs to engrave the bars of the finding on both sides; nil without a library in the program, or without scores.
func newPassages(s Sheet, after *finding.Finding) (*notation, error) {
	e, ok := engraving.Library()
	if !ok || s.Scores[0] == nil || s.After != nil && s.Scores[1] == nil {
		return nil, nil
	}
	from, to, ok := engravedBars(s.Scores[0], s.Finding)
	if !ok {
		return nil, nil
	}
	sides := []engravedPassage{{s.Scores[0].MusicXML, from, to, marksWithin(s.Scores[0], &s.Finding, to)}}
	if s.After != nil {
		sides = append(sides, engravedPassage{s.Scores[1].MusicXML, from, min(to, s.Scores[1].Bars-1), marksWithin(s.Scores[1], after, to)})
	}
	packed, err := pack(sides)
	if err != nil {
		return nil, err
	}
	return &notation{Library: libraryMark, Hash: e.Hash, JS: template.JS(passageScript), Data: packed, Licences: e.Licences, Guessed: s.Scores[0].Guessed}, nil
}

// engravedBars are the printed bars of a finding with the one before, as many as are drawn; ok is false where it has no place.
func engravedBars(s *engraving.Sheet, f finding.Finding) (from, to int, ok bool) {
	at := slices.IndexFunc(s.Places, func(p engraving.Place) bool { return p.ID == f.ID })
	if at < 0 {
		return 0, 0, false
	}
	from = max(0, s.Places[at].FromBar-1)
	return from, min(s.Places[at].ToBar, from+mostEngraved-1), true
}

// marksWithin is the mark of a finding, cut at the last bar that is drawn; none where there is no finding any more.
func marksWithin(s *engraving.Sheet, f *finding.Finding, last int) []notationMark {
	out := []notationMark{}
	for _, p := range s.Places {
		if f != nil && p.ID == f.ID {
			p.ToBar = min(p.ToBar, last)
			out = append(out, newMark(p, *f, nil)) // whose words are not shown
		}
	}
	return out
}
