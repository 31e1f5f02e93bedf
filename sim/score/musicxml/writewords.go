package musicxml

import (
	"fmt"
	"math"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// editWords takes out words that are gone and puts in those that are new.
func (w *writer) editWords() {
	have := map[score.Word]int{}
	for _, x := range w.s.Words {
		have[x]++
	}
	stays := map[*etree.Element]bool{}
	var gone []wordOrigin
	for _, o := range w.src.words {
		if have[o.word] > 0 {
			have[o.word]--
			stays[o.el] = true
		} else if o.el != nil {
			gone = append(gone, o)
		}
	}
	for _, o := range gone {
		if e := w.copied[o.el]; !stays[o.el] && e != nil && e.Parent() != nil {
			takeOut(e)
		}
	}
	for _, x := range w.s.Words {
		if have[x] == 0 {
			continue
		}
		have[x]--
		w.putWord(x)
	}
}

// takeOut removes an element and what holds nothing else.
func takeOut(e *etree.Element) {
	for e.Parent() != nil {
		p := e.Parent()
		p.RemoveChild(e)
		if p.Tag != "direction-type" && p.Tag != "notations" && (p.Tag != "direction" || child(p, "direction-type") != nil) {
			return
		}
		if p.Tag != "direction" && len(p.ChildElements()) > 0 {
			return
		}
		e = p
	}
}

func (w *writer) putWord(x score.Word) {
	var d *etree.Element
	switch x.Kind {
	case score.Mark:
		d = etree.NewElement("dynamics")
		d.AddChild(etree.NewElement(x.Text))
	case score.Hairpin:
		d = etree.NewElement("wedge")
		d.CreateAttr("type", x.Text)
	case score.Lyric:
		return // belongs to a note
	case score.Marker:
		d = with("rehearsal", x.Text)
	default:
		d = with("words", x.Text)
	}
	w.direct(x.At, x.Part, d, "")
}

// direct writes a direction at a place.
func (w *writer) direct(at score.Tick, partIndex int, d *etree.Element, placement string) {
	p, staff := w.partOf(max(0, partIndex))
	bar, rel := w.place(at)
	m := measureOf(p, w.src.played[bar].measure)
	e := etree.NewElement("direction")
	if placement != "" {
		e.CreateAttr("placement", placement)
	}
	dt := etree.NewElement("direction-type")
	dt.AddChild(d)
	e.AddChild(dt)
	if rel > 0 {
		div := m.div
		if div <= 0 {
			div = 1
		}
		e.AddChild(with("offset", decimal(float64(rel)*div/float64(w.tpq))))
	}
	if p.staves > 1 {
		e.AddChild(with("staff", fmt.Sprint(staff+1)))
	}
	el := w.copied[m.el]
	for i, t := range el.Child { // before the first sounding thing of the bar
		if c, ok := t.(*etree.Element); ok && c.Tag != "attributes" && c.Tag != "print" && !(c.Tag == "barline" && c.SelectAttrValue("location", "right") == "left") && c.Tag != "direction" {
			el.InsertChildAt(i, e)
			return
		}
	}
	el.AddChild(e)
}

// annotate puts words over a bar and colours notes.
func (w *writer) annotate(a Annotation) {
	color := a.Color
	if color == "" {
		color = annotationColor
	}
	if a.Text != "" {
		d := with("words", a.Text)
		d.CreateAttr("color", color)
		w.direct(a.At, a.Part, d, "above")
	}
	for _, id := range a.NoteIDs {
		for _, e := range w.byID[id] {
			if e.Parent() != nil {
				e.CreateAttr("color", color)
			}
		}
	}
}

// editTempos writes a change of all speeds by one factor into the metronome
// marks; in a score from elsewhere, all speeds.
func (w *writer) editTempos(fresh bool) {
	if fresh {
		for _, t := range w.s.Tempos {
			w.putTempo(t)
		}
		return
	}
	if len(w.s.Tempos) != len(w.src.tempos) || len(w.s.Tempos) == 0 {
		return
	}
	factor := w.s.Tempos[0].Crotchets / w.src.tempos[0].Crotchets
	for i, t := range w.src.tempos {
		if math.Abs(w.s.Tempos[i].Crotchets/t.Crotchets-factor) > 1e-6 {
			factor = 1
		}
	}
	if math.Abs(factor-1) < 1e-6 {
		return
	}
	atStart := false
	for _, p := range w.src.parts {
		for mi, m := range p.measures {
			for _, e := range w.copied[m.el].FindElements(".//per-minute") {
				if v, ok := number(digits.FindString(e.Text())); ok {
					e.SetText(decimal(math.Round(v*factor*10) / 10))
				}
			}
			for _, e := range w.copied[m.el].FindElements(".//sound[@tempo]") {
				if v, ok := attrNumber(e, "tempo"); ok {
					e.CreateAttr("tempo", decimal(v*factor))
				}
			}
			if mi == 0 {
				for _, t := range m.tempos {
					atStart = atStart || t.at == 0
				}
			}
		}
	}
	if !atStart {
		w.putTempo(w.s.Tempos[0])
	}
}

func (w *writer) putTempo(t score.Tempo) {
	d := etree.NewElement("metronome")
	d.AddChild(with("beat-unit", "quarter"))
	d.AddChild(with("per-minute", decimal(math.Round(t.Crotchets*10)/10)))
	w.direct(t.At, 0, d, "above")
	snd := etree.NewElement("sound")
	snd.CreateAttr("tempo", decimal(t.Crotchets))
	d.Parent().Parent().AddChild(snd)
}
