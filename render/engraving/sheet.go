package engraving

import (
	"bytes"
	"fmt"

	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/musicxml"
)

// Sheet is a score to be engraved in a page, with the places of the findings on it.
type Sheet struct {
	MusicXML string
	Bars     int  // printed
	Guessed  bool // from a MIDI file
	Places   []Place
}

// Place is where a finding stands on the page: its first and last printed bar, from 0 in file
// order, and its first and last staff, from 0 through all parts.
type Place struct {
	ID                 int
	FromBar, ToBar     int
	FromStaff, ToStaff int
}

// Bounds on what is engraved; more would keep a browser busy for minutes.
const (
	mostXML    = 6 << 20 // bytes
	mostBars   = 400
	mostStaves = 16
)

// NewSheet prepares the score of a proof for engraving, the notes of the findings in colour. A score from a
// MIDI file is written out anew: durations and spelling are guessed from the sound. It errs
// where the score is too long to engrave.
func NewSheet(p *proof.Proof) (*Sheet, error) {
	s, found := p.Score, p.Document.Findings
	sheet := &Sheet{Guessed: !isNotation(s)}
	bar := func(at score.Tick) int {
		if i, ok := musicxml.PrintedBar(s, at); ok {
			return i
		}
		return s.BarAt(at)
	}
	for i := range s.Bars {
		sheet.Bars = max(sheet.Bars, bar(s.Bars[i].Start)+1)
	}
	if n := len(s.Parts); n > mostStaves {
		return nil, fmt.Errorf("%d staves are too many to engrave in a page (at most %d)", n, mostStaves)
	}
	if sheet.Bars > mostBars {
		return nil, fmt.Errorf("%d bars are too many to engrave in a page (at most %d)", sheet.Bars, mostBars)
	}
	var b bytes.Buffer
	if err := musicxml.Annotate(&b, s, colours(found)); err != nil {
		return nil, err
	}
	if b.Len() > mostXML {
		return nil, fmt.Errorf("%d MB of notation are too much to engrave in a page (at most %d)", b.Len()>>20, mostXML>>20)
	}
	notes := make(map[int]score.Note, len(s.Notes))
	for _, n := range s.Notes {
		notes[n.ID] = n
	}
	for _, f := range found {
		at, until := stretch(p, f)
		x := Place{ID: f.ID, FromBar: bar(at), FromStaff: len(s.Parts) - 1}
		x.ToBar = max(x.FromBar, bar(max(at, until-1))) // a repeat may lie between
		for _, id := range f.Notes {
			n, ok := notes[id]
			if !ok {
				continue
			}
			x.FromStaff, x.ToStaff = min(x.FromStaff, n.Part), max(x.ToStaff, n.Part)
			if f.Count > 1 { // several places, maybe on both times through
				x.FromBar, x.ToBar = min(x.FromBar, bar(n.On)), max(x.ToBar, bar(n.On))
			}
		}
		if x.FromStaff > x.ToStaff { // it names no notes
			x.FromStaff, x.ToStaff = 0, len(s.Parts)-1
		}
		sheet.Places = append(sheet.Places, x)
	}
	sheet.MusicXML = b.String()
	return sheet, nil
}
