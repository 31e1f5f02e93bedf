package musicxml

import (
	"fmt"

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
		o := with("offset", decimal(float64(rel)*div/float64(w.tpq)))
		o.CreateAttr("sound", "yes")
		e.AddChild(o)
	}
	if p.staves > 1 {
		e.AddChild(with("staff", fmt.Sprint(staff+1)))
	}
	w.atStart(m, e)
}

// atStart puts an element before the first sounding thing of a bar.
func (w *writer) atStart(m *measure, e *etree.Element) {
	el := w.copied[m.el]
	for i, t := range el.Child {
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
		d.CreateAttr("font-size", annotationSize)
		w.direct(a.At, a.Part, d, "above")
	}
	if a.Until > a.At {
		w.brackets = w.brackets%16 + 1
		for _, end := range []struct {
			kind string
			at   score.Tick
		}{{"start", a.At}, {"stop", min(a.Until, w.s.End) - 1}} {
			d := etree.NewElement("bracket")
			d.CreateAttr("type", end.kind)
			d.CreateAttr("number", fmt.Sprint(w.brackets))
			d.CreateAttr("line-end", "none")
			d.CreateAttr("color", color)
			w.direct(max(end.at, a.At), a.Part, d, "above")
		}
	}
	for _, id := range a.NoteIDs {
		if first, ok := w.alias[id]; ok {
			id = first
		}
		for _, e := range w.byID[id] {
			if e.Parent() != nil {
				w.paint(e, color)
			}
		}
	}
}
