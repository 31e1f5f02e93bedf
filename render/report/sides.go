package report

import (
	_ "embed" // the script of the two scores
	"html/template"

	"afterchord/render/engraving"
)

//go:embed sides.js
var sidesJS string

// sidesScript engraves two scores, and the bars of each change on both sides.
var sidesScript = engraving.Script + sidesJS

// newSides is what a page of two sides needs to engrave their scores, and for each change whether its bars are engraved beside it.
// Where there is no notation, without says why.
func newSides(m Mended) (n *notation, changes []bool, without string, err error) {
	changes = make([]bool, len(m.Changes))
	e, ok := engraving.Library()
	switch {
	case m.Scores[0] == nil || m.Scores[1] == nil:
		return nil, changes, "The scores are not engraved in this page: they are longer than a page can engrave.", nil
	case !ok:
		return nil, changes, "The scores are not engraved in this page: the program was built without its engraving library (make engraving fetches it).", nil
	}
	data := struct {
		Sides    [2]engravedScore     `json:"sides"`
		Passages [][2]engravedPassage `json:"passages"` // of the changes that have bars; the notation is that of the sides
	}{Passages: [][2]engravedPassage{}}
	data.Sides = [2]engravedScore{newEngravedScore(m.Before, m.Scores[0], m.Language), newEngravedScore(m.After, m.Scores[1], m.Language)}
	if data.Sides[1].MusicXML == data.Sides[0].MusicXML {
		data.Sides[1].MusicXML = "" // the same music
	}
	for i, c := range m.Changes {
		if p, ok := passagesOf(m, c.Finding); ok {
			data.Passages, changes[i] = append(data.Passages, p), true
		}
	}
	packed, err := pack(data)
	if err != nil {
		return nil, changes, "", err
	}
	return &notation{Library: libraryMark, Hash: e.Hash, JS: template.JS(sidesScript), Data: packed, Licences: e.Licences,
		Guessed: m.Scores[0].Guessed || m.Scores[1].Guessed}, changes, "", nil
}

// passagesOf are the bars of a finding on both sides; ok is false where it has no place in the score.
func passagesOf(m Mended, id int) (out [2]engravedPassage, ok bool) {
	for i, f := range m.Before.Findings {
		if f.ID == id {
			from, to, ok := engravedBars(m.Scores[0], f)
			if !ok {
				return out, false
			}
			out[0] = engravedPassage{From: from, To: to, Marks: marksWithin(m.Scores[0], &m.Before.Findings[i], to)}
			last := min(to, m.Scores[1].Bars-1)
			out[1] = engravedPassage{From: min(from, last), To: last, Marks: marksWithin(m.Scores[1], same(m.After.Findings, f), last)}
			return out, true
		}
	}
	return out, false
}
