package musicxml

import (
	"slices"
	"strings"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// group is the notes that are played for one ornament, by their beginning.
type group struct {
	ids   []int
	notes []noteOrigin
}

// groups are the ornaments of the score in the order of their first notes.
func (w *writer) groups() (out []group) {
	at := map[int]int{}
	for i, o := range w.src.notes {
		if o.group == 0 {
			continue
		}
		k, ok := at[o.group]
		if !ok {
			k = len(out)
			at[o.group] = k
			out = append(out, group{})
		}
		out[k].ids = append(out[k].ids, i+1)
		out[k].notes = append(out[k].notes, o)
	}
	return out
}

// editGroup compares the notes of an ornament with the file's. What was done to all of them
// alike is done to the printed note, which keeps its sign; where only some were changed, the
// printed note and its sign make way for the notes that are played.
func (w *writer) editGroup(g group, now map[int]score.Note, verdicts map[*printedNote]verdict) {
	whole := g.whole()
	unchanged, left := true, 0
	for i, id := range g.ids {
		n, kept := now[id]
		if kept {
			left++
		}
		unchanged = unchanged && kept && sameSound(n, g.notes[i].note)
		w.byID[id] = nil
		for _, s := range whole.segments {
			w.byID[id] = append(w.byID[id], w.copied[s.n.el])
		}
	}
	if unchanged {
		return
	}
	n, alike := g.alike(now, left)
	if left == 0 || alike {
		w.change(g.ids[0], whole, n, left > 0, verdicts)
		w.aliases(g)
		return
	}
	if !w.remove(whole, verdicts) {
		return
	}
	for _, id := range g.ids {
		w.byID[id] = nil
		if n, kept := now[id]; kept {
			w.add(n, nil)
		}
	}
}

// aliases lets the other notes of an ornament be coloured with the first.
func (w *writer) aliases(g group) {
	for _, id := range g.ids[1:] {
		w.alias[id] = g.ids[0]
	}
}

// whole is the printed note of an ornament, or the printed notes tied together, as one.
func (g group) whole() noteOrigin {
	o := noteOrigin{note: g.notes[0].note}
	seen := map[segment]bool{}
	for _, x := range g.notes {
		o.note.On = min(o.note.On, x.note.On)
		for _, s := range x.segments {
			if !seen[s] {
				seen[s] = true
				o.segments = append(o.segments, s)
			}
		}
	}
	slices.SortStableFunc(o.segments, func(a, b segment) int {
		if a.bar != b.bar {
			return a.bar - b.bar
		}
		return int(a.n.at - b.n.at)
	})
	last := g.notes[len(g.notes)-1].note
	o.note.Key = o.segments[0].n.key
	o.note.Off, o.note.Written = last.Off, last.On+last.Written-o.note.On
	return o
}

// alike is the printed note as it has become, where all its played notes were changed alike:
// moved by octaves or to another staff, or the last one ending elsewhere. Of a trill and of
// repeated notes the last ones may be left out.
func (g group) alike(now map[int]score.Note, left int) (score.Note, bool) {
	if left == 0 || g.notes[0].segments[0].n.bundle != nil && g.notes[0].segments[0].n.bundle.rigid {
		return score.Note{}, false
	}
	out := g.whole().note
	first, ok := now[g.ids[0]]
	if !ok {
		return out, false
	}
	by := first.Key - g.notes[0].note.Key
	s := g.notes[0].segments[0].n.sign
	endless := s == nil || s.trill() || s.kind != ""
	if by%12 != 0 || left < len(g.ids) && !endless {
		return out, false
	}
	for i := range left {
		n, kept := now[g.ids[i]]
		was := g.notes[i].note
		was.Key += by
		was.Part = first.Part
		if i == left-1 {
			was.Off = n.Off
		}
		if !kept || !sameSound(n, was) {
			return out, false
		}
		out.Off = n.Off
	}
	if out.Off != g.whole().note.Off && !endless && strings.Contains(s.row.Notes, "m…") {
		return out, false // its last notes would come earlier
	}
	out.ID, out.Part, out.Key = g.ids[0], first.Part, out.Key+by
	return out, true
}

// sameSound compares what is heard of two notes.
func sameSound(a, b score.Note) bool {
	return a.On == b.On && a.Off == b.Off && a.Key == b.Key && a.Part == b.Part
}

// remove takes printed notes out; false where another time through has already settled that
// they stay.
func (w *writer) remove(o noteOrigin, verdicts map[*printedNote]verdict) bool {
	if v, done := verdicts[o.segments[0].n]; done && !v.gone {
		return false
	}
	for _, g := range o.segments {
		verdicts[g.n] = verdict{gone: true}
		w.edited[g.n.measure] = true
		w.unsign(g.n)
	}
	return true
}

// unsign takes the ornament off a printed note; in a chord it may stand at another.
func (w *writer) unsign(n *printedNote) {
	at := n
	if n.sign != nil {
		at = n.sign.carrier
	}
	if n.bundle == nil {
		return
	}
	e := w.copied[at.el]
	for _, ns := range elements(e, "notations") {
		removeAll(ns, "ornaments")
		if len(ns.ChildElements()) == 0 {
			e.RemoveChild(ns)
		}
	}
}

// ornamentsOf are copies of the ornaments over the first printed note.
func (o noteOrigin) ornamentsOf() (out []*etree.Element) {
	n := o.segments[0].n
	if n.bundle == nil || n.sign == nil {
		return nil
	}
	for _, ns := range elements(n.sign.carrier.el, "notations") {
		for _, e := range elements(ns, "ornaments") {
			out = append(out, e.Copy())
		}
	}
	return out
}

// pinNeighbours puts an accidental over the ornaments of changed bars where notes that came
// or went would otherwise change what they are played with.
func (w *writer) pinNeighbours() {
	for _, p := range w.src.parts {
		for _, m := range p.measures {
			if !w.edited[m] {
				continue
			}
			altered := map[accidentalKey]bool{}
			for _, el := range []*etree.Element{m.el, w.copied[m.el]} {
				for _, e := range elements(el, "note") {
					if pe := child(e, "pitch"); pe != nil && child(e, "accidental") != nil {
						altered[accidentalKey{integer(text(e, "staff"), 1) - 1, integer(text(pe, "octave"), 4), text(pe, "step")}] = true
					}
				}
			}
			for _, n := range m.notes {
				if n.bundle == nil || n.sign == nil || len(altered) == 0 {
					continue
				}
				w.pin(n, altered)
			}
		}
	}
}

// pin puts the accidentals of its neighbours over one note.
func (w *writer) pin(n *printedNote, altered map[accidentalKey]bool) {
	for _, by := range []int{1, -1} {
		mark, place := n.sign.upper, "above"
		if by < 0 {
			mark, place = n.sign.lower, "below"
		}
		if mark != nil || !strings.ContainsAny(n.sign.row.Notes, map[int]string{1: "u", -1: "l"}[by]) && !n.sign.turn {
			continue
		}
		old := child(n.el, "pitch")
		step, octave := beside(old, by)
		for e := range w.signed(n) {
			shift := integer(text(w.copied[n.el], "pitch", "octave"), 4) - integer(text(old, "octave"), 4)
			if !altered[accidentalKey{n.staff, octave + shift, step}] {
				continue
			}
			alter := n.neighbour(n.sign, by) - n.transpose - steps[step] - 12*(octave+1)
			if name := accidentals[alter]; name != "" {
				a := with("accidental-mark", name)
				a.CreateAttr("placement", place)
				e.AddChild(a)
			}
		}
	}
}

// signed walks through the <ornaments> that still stand over a note.
func (w *writer) signed(n *printedNote) func(func(*etree.Element) bool) {
	return func(yield func(*etree.Element) bool) {
		for _, ns := range elements(w.copied[n.sign.carrier.el], "notations") {
			for _, e := range elements(ns, "ornaments") {
				if !yield(e) {
					return
				}
			}
		}
	}
}
