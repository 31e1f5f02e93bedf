package musicxml

import (
	"fmt"
	"math"
	"slices"

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
		for _, e := range w.byID[id] {
			if e.Parent() != nil {
				e.CreateAttr("color", color)
			}
		}
	}
}

// editTempos writes changes of speed: into the marks that stand where they
// begin, else as marks of their own; in a score from elsewhere, all speeds.
func (w *writer) editTempos(fresh bool) {
	if fresh {
		for _, t := range w.s.Tempos {
			w.putTempo(t)
		}
		return
	}
	old := &score.Score{Tempos: w.src.tempos}
	ratio := func(at score.Tick) float64 { return w.s.TempoAt(at) / old.TempoAt(at) }
	marked := map[score.Tick]bool{}
	for _, p := range w.src.parts {
		for _, m := range p.measures {
			first, played := w.firsts[m.index]
			if !played {
				continue
			}
			for _, t := range m.tempos {
				at := w.src.played[first].start + t.at
				if t.crotchets > 0 {
					marked[at] = true
					scaleTempo(w.copied[t.el], ratio(at))
				}
			}
		}
	}
	points := []score.Tick{0}
	for _, ts := range [][]score.Tempo{w.src.tempos, w.s.Tempos} {
		for _, t := range ts {
			points = append(points, t.At)
		}
	}
	slices.Sort(points)
	last := 1.0
	for _, at := range slices.Compact(points) {
		r := ratio(at)
		bar, _ := w.place(at)
		if math.Abs(r-last) > 1e-6 && !marked[at] && w.firsts[w.src.played[bar].measure] == bar {
			w.putTempo(score.Tempo{At: at, Crotchets: w.s.TempoAt(at)})
		}
		last = r
	}
}

// scaleTempo multiplies the speed of a <sound> or <metronome>, and that of the
// other where both stand in one direction.
func scaleTempo(e *etree.Element, factor float64) {
	if math.Abs(factor-1) < 1e-6 {
		return
	}
	scope := e
	for scope.Parent() != nil && (scope.Tag == "metronome" || scope.Tag == "direction-type" || scope.Tag == "sound" && scope.Parent().Tag == "direction") {
		scope = scope.Parent()
	}
	for _, x := range scope.FindElements(".//per-minute") {
		if v, ok := number(digits.FindString(x.Text())); ok {
			x.SetText(decimal(math.Round(v*factor*10) / 10))
		}
	}
	for _, x := range append(scope.FindElements(".//sound[@tempo]"), scope) {
		if v, ok := attrNumber(x, "tempo"); ok {
			x.CreateAttr("tempo", decimal(v*factor))
		}
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
