package musicxml

import (
	"slices"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// verdict is what becomes of one printed note.
type verdict struct {
	gone  bool
	until score.Tick // new end from the bar's start; 0 keeps the printed length
	key   int        // sounding
	last  bool       // the sound ends within this note, tied or not
}

// editNotes compares the notes with the file's.
func (w *writer) editNotes() {
	now := map[int]score.Note{}
	for _, n := range w.s.Notes {
		now[n.ID] = n
	}
	verdicts := map[*printedNote]verdict{}
	groups := w.groups()
	for i, o := range w.src.notes {
		id := i + 1
		n, kept := now[id]
		if o.group > 0 {
			continue
		}
		delete(now, id)
		for _, g := range o.segments {
			w.byID[id] = append(w.byID[id], w.copied[g.n.el])
		}
		if !kept || !sameSound(n, o.note) {
			w.change(id, o, n, kept, verdicts)
		}
	}
	for _, g := range groups {
		w.editGroup(g, now, verdicts)
		for _, id := range g.ids {
			delete(now, id)
		}
	}
	var added []int
	for id := range now {
		added = append(added, id)
	}
	slices.Sort(added)
	for _, id := range added {
		w.add(now[id], nil)
	}
	for _, p := range w.src.parts {
		for _, m := range p.measures {
			w.editMeasure(p, m, verdicts)
		}
	}
}

// change settles what becomes of the printed notes of a note that was taken out or changed.
func (w *writer) change(id int, o noteOrigin, n score.Note, kept bool, verdicts map[*printedNote]verdict) {
	moved := kept && (n.On != o.note.On || n.Part != o.note.Part || n.Off > o.note.On+o.note.Written)
	if !kept || moved {
		ornaments := o.ornamentsOf()
		if !w.remove(o, verdicts) || !moved {
			return
		}
		w.byID[id] = nil
		if n.On == o.note.On { // a rolled chord is printed without its roll
			n.On -= o.segments[0].n.roll
		}
		w.add(n, ornaments)
		return
	}
	for _, g := range o.segments {
		if _, done := verdicts[g.n]; done {
			continue
		}
		v := verdict{key: n.Key}
		if end := n.Off - w.src.played[g.bar].start; n.Off != o.note.Off {
			v.until = min(end, g.n.end())
			v.gone = end <= g.n.on()
			v.last = end <= g.n.end()
		}
		if v.gone {
			w.unsign(g.n)
		}
		verdicts[g.n] = v
		w.edited[g.n.measure] = true
	}
}

// editMeasure carries the verdicts out, chord by chord.
func (w *writer) editMeasure(p *part, m *measure, verdicts map[*printedNote]verdict) {
	for i := 0; i < len(m.notes); {
		j := i + 1
		for j < len(m.notes) && m.notes[j].chord {
			j++
		}
		chord := m.notes[i:j]
		i = j
		if slices.ContainsFunc(chord, func(n *printedNote) bool { _, ok := verdicts[n]; return ok }) {
			w.editChord(p, m, chord, verdicts)
		}
	}
}

func (w *writer) editChord(p *part, m *measure, chord []*printedNote, verdicts map[*printedNote]verdict) {
	var stay []*printedNote
	end := score.Tick(0) // of those that stay in the chord
	endOf := func(n *printedNote) score.Tick {
		if v, ok := verdicts[n]; ok && v.until > 0 && !n.grace {
			return v.until
		}
		return n.end()
	}
	for _, n := range chord {
		if v := verdicts[n]; !v.gone {
			end = max(end, endOf(n))
		}
	}
	for _, n := range chord {
		v, changed := verdicts[n]
		switch {
		case v.gone:
			continue
		case endOf(n) < end: // shorter than the rest of its chord
			a := addedNote{from: n.at, to: v.until, key: v.key, staff: n.staff, transpose: n.transpose, tieStop: n.tieStop, id: w.idOf(n)}
			w.byID[a.id] = slices.DeleteFunc(w.byID[a.id], func(e *etree.Element) bool { return e == w.copied[n.el] })
			w.put(addPlace{p, m.index}, a)
			continue
		}
		if changed && v.key != n.key {
			w.setPitch(m, w.copied[n.el], v.key-n.transpose)
		}
		stay = append(stay, n)
	}
	w.leaveChord(chord, stay)
	if len(stay) == 0 || end >= chord[0].end() {
		for _, n := range stay {
			if verdicts[n].until > 0 {
				w.unmark(w.copied[n.el])
				w.untie(w.copied[n.el], verdicts[n].last)
			}
		}
		return
	}
	w.unbeam(m, chord[0])
	w.shorten(chord[0], stay, end)
}

// idOf is the note that a printed note is first played as.
func (w *writer) idOf(n *printedNote) int {
	if w.ids == nil {
		w.ids = map[*printedNote]int{}
		for i := len(w.src.notes) - 1; i >= 0; i-- {
			for _, g := range w.src.notes[i].segments {
				w.ids[g.n] = i + 1
			}
		}
	}
	return w.ids[n]
}

// leaveChord takes those that do not stay out of a chord; where none does, a rest stands there.
func (w *writer) leaveChord(chord, stay []*printedNote) {
	first := w.copied[chord[0].el]
	for i, n := range chord {
		e := w.copied[n.el]
		if slices.Contains(stay, n) || e.Parent() == nil {
			continue
		}
		w.moveSlurs(e, stay)
		if n.fermata && len(stay) > 0 && !slices.ContainsFunc(stay, w.holds) {
			w.held[stay[0]] = true
			notationsOf(w.copied[stay[0].el]).AddChild(etree.NewElement("fermata"))
		}
		if i == 0 && len(stay) == 0 && !n.grace {
			w.unbeam(n.measure, n)
			makeRest(e)
			continue
		}
		e.Parent().RemoveChild(e)
	}
	if len(stay) == 0 || stay[0] == chord[0] {
		return
	}
	if first, head := chord[0], stay[0]; head.length != first.length { // the chord moves on by its first note
		e := w.copied[head.el]
		for _, tag := range []string{"duration", "type", "dot"} {
			removeAll(e, tag)
			for _, c := range elements(first.el, tag) {
				insert(e, c.Copy())
			}
		}
	}
	head := w.copied[stay[0].el] // the beams and the tuplet stand on the first of a chord
	removeAll(head, "chord")
	for _, b := range elements(first, "beam") {
		insert(head, b.Copy())
	}
	for _, ns := range elements(first, "notations") {
		for _, t := range elements(ns, "tuplet") {
			notationsOf(head).AddChild(t.Copy())
		}
	}
}

// holds tells whether a fermata stands over a note, its own or one it has got from another of its chord.
func (w *writer) holds(n *printedNote) bool { return n.fermata || w.held[n] }

// makeRest turns a note into a rest of the same length.
func makeRest(e *etree.Element) {
	for _, tag := range []string{"pitch", "chord", "tie", "accidental", "stem", "notehead", "beam", "lyric", "instrument"} {
		removeAll(e, tag)
	}
	e.RemoveAttr("dynamics")
	for _, ns := range elements(e, "notations") {
		for _, c := range ns.ChildElements() {
			if c.Tag != "tuplet" && c.Tag != "fermata" {
				ns.RemoveChild(c)
			}
		}
		if len(ns.ChildElements()) == 0 {
			e.RemoveChild(ns)
		}
	}
	insert(e, etree.NewElement("rest"))
}

// moveSlurs hands the slurs of a note that goes to one that stays in its chord,
// or takes out their other ends.
func (w *writer) moveSlurs(e *etree.Element, stay []*printedNote) {
	for _, ns := range elements(e, "notations") {
		for _, s := range elements(ns, "slur") {
			ns.RemoveChild(s)
			if len(stay) > 0 {
				notationsOf(w.copied[stay[0].el]).AddChild(s)
				continue
			}
			removeMate(e, s)
		}
	}
}

// removeMate takes out the other end of a slur.
func removeMate(note, slur *etree.Element) {
	measure := note.Parent()
	part := measure.Parent()
	want, step := "stop", 1
	if slur.SelectAttrValue("type", "") != "start" {
		want, step = "start", -1
	}
	inMeasure := measure.ChildElements()
	measures := elements(part, "measure")
	mi, ni := slices.Index(measures, measure), slices.Index(inMeasure, note)
	for k := 0; k < 64 && mi >= 0 && mi < len(measures); k++ {
		for ni += step; ni >= 0 && ni < len(inMeasure); ni += step {
			if text(inMeasure[ni], "voice") != text(note, "voice") {
				continue
			}
			for _, ns := range elements(inMeasure[ni], "notations") {
				for _, s := range elements(ns, "slur") {
					if s.SelectAttrValue("number", "1") == slur.SelectAttrValue("number", "1") && s.SelectAttrValue("type", "") == want {
						ns.RemoveChild(s)
						return
					}
				}
			}
		}
		mi += step
		if mi >= 0 && mi < len(measures) {
			inMeasure = measures[mi].ChildElements()
			ni = -1
			if step < 0 {
				ni = len(inMeasure)
			}
		}
	}
}

// unmark takes out what would shorten a note whose sounding end is printed.
func (w *writer) unmark(e *etree.Element) {
	for _, ns := range elements(e, "notations") {
		for _, as := range elements(ns, "articulations") {
			for _, a := range Articulations {
				removeAll(as, a.Element)
			}
			removeAll(as, "breath-mark")
			removeAll(as, "caesura")
			if len(as.ChildElements()) == 0 {
				ns.RemoveChild(as)
			}
		}
		if len(ns.ChildElements()) == 0 {
			e.RemoveChild(ns)
		}
	}
}

// untie takes out the tie to the next note.
func (w *writer) untie(e *etree.Element, yes bool) {
	if !yes {
		return
	}
	drop := func(from *etree.Element, tag string) {
		for _, t := range elements(from, tag) {
			if t.SelectAttrValue("type", "") == "start" {
				from.RemoveChild(t)
			}
		}
	}
	drop(e, "tie")
	for _, ns := range elements(e, "notations") {
		drop(ns, "tied")
	}
}

// unbeam takes the beams off a voice in a bar; programs beam it anew.
func (w *writer) unbeam(m *measure, like *printedNote) {
	done := beamed{m, like.voice}
	if w.unbeamed[done] {
		return
	}
	w.unbeamed[done] = true
	for _, n := range m.notes {
		if n.voice == like.voice {
			removeAll(w.copied[n.el], "beam")
		}
	}
}

type beamed struct {
	measure *measure
	voice   string
}
