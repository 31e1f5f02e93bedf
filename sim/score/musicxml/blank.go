package musicxml

import (
	"fmt"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// blank is a file with the bars of a score and nothing in them.
func blank(s *score.Score) (*source, error) {
	if len(s.Parts) == 0 || len(s.Bars) == 0 || s.TicksPerCrotchet <= 0 {
		return nil, fmt.Errorf("a score without parts or bars cannot be written")
	}
	src := &source{doc: etree.NewDocument(), nParts: len(s.Parts)}
	src.doc.CreateProcInst("xml", `version="1.0" encoding="UTF-8"`)
	src.doc.CreateDirective(`DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd"`)
	root := src.doc.CreateElement("score-partwise")
	root.CreateAttr("version", "4.0")
	root.CreateElement("work").CreateElement("work-title").SetText(s.Title)
	list := root.CreateElement("part-list")
	for i, b := range s.Bars {
		src.played = append(src.played, playedBar{measure: i, pass: 1, start: b.Start})
	}
	overC := make([]int, len(s.Parts)) // semitones of all notes above middle C, less those of all below
	for _, n := range s.Notes {
		if n.Part >= 0 && n.Part < len(overC) {
			overC[n.Part] += n.Key - 60
		}
	}
	for i, sp := range s.Parts {
		id := fmt.Sprintf("P%d", i+1)
		e := list.CreateElement("score-part")
		e.CreateAttr("id", id)
		e.CreateElement("part-name").SetText(sp.Name)
		p := &part{el: root.CreateElement("part"), id: id, name: sp.Name, first: i, staves: 1}
		p.el.CreateAttr("id", id)
		var last score.Metre
		for bi, b := range s.Bars {
			m := p.el.CreateElement("measure")
			number := b.Label
			if number == "" {
				number = fmt.Sprint(b.Number)
			}
			m.CreateAttr("number", number)
			if b.Number == 0 {
				m.CreateAttr("implicit", "yes")
			}
			if bi == 0 || b.Metre.Beats != last.Beats || b.Metre.Unit != last.Unit {
				a := m.CreateElement("attributes")
				if bi == 0 {
					a.CreateElement("divisions").SetText("24")
				}
				t := etree.NewElement("time")
				t.CreateElement("beats").SetText(fmt.Sprint(b.Metre.Beats))
				t.CreateElement("beat-type").SetText(fmt.Sprint(b.Metre.Unit))
				a.AddChild(t)
				if bi == 0 {
					c := a.CreateElement("clef")
					sign, line := "G", "2"
					if overC[i] < 0 {
						sign, line = "F", "4"
					}
					c.CreateElement("sign").SetText(sign)
					c.CreateElement("line").SetText(line)
				}
				last = b.Metre
			}
			p.measures = append(p.measures, &measure{el: m, index: bi, number: number, div: 24})
		}
		src.parts = append(src.parts, p)
	}
	return src, nil
}
