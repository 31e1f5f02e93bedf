package musicxml

import (
	"fmt"
	"math"
	"slices"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

type addPlace struct {
	part    *part
	measure int
}

// addedNote is a note to be put into a bar, in ticks from its start.
type addedNote struct {
	from, to          score.Tick
	key, staff        int // key as it sounds
	transpose         int
	tieStart, tieStop bool
	id                int
	ornaments         []*etree.Element // to stand over it
}

// add puts a note into its bars, tied from one to the next, ornaments over its beginning.
func (w *writer) add(n score.Note, ornaments []*etree.Element) {
	p, staff := w.partOf(n.Part)
	bar, rel := w.place(n.On)
	off := max(n.Off, n.On+1)
	if w.rests { // a score from elsewhere: the printed length, on a grid
		if n.Written > 0 {
			off = n.On + n.Written
		}
		on := w.grid(n.On)
		off = max(w.grid(off), on+w.tpq/8)
		bar, rel = w.place(on)
		n.On = on
	}
	first := true
	for ; bar < len(w.src.played) && (first || w.src.played[bar].start < off); bar++ {
		pb := w.src.played[bar]
		a := addedNote{from: rel, to: off - pb.start, key: n.Key, staff: staff, tieStop: !first, id: n.ID, ornaments: ornaments}
		ornaments = nil
		if length := w.barLength(bar); a.to > length && (bar+1 < len(w.src.played) || !w.rests) {
			a.to, a.tieStart = length, bar+1 < len(w.src.played)
		}
		for _, o := range measureOf(p, pb.measure).notes {
			a.transpose = o.transpose
		}
		rel, first = 0, false
		if a.to > a.from {
			w.put(addPlace{p, pb.measure}, a)
		}
	}
}

func (w *writer) barLength(bar int) score.Tick {
	if bar < len(w.s.Bars) {
		return w.s.Bars[bar].Length
	}
	return 4 * w.tpq
}

// grid is the nearest demisemiquaver or triplet semiquaver.
func (w *writer) grid(t score.Tick) score.Tick {
	near := func(step float64) score.Tick { return score.Tick(math.Round(math.Round(float64(t)/step) * step)) }
	a, b := near(float64(w.tpq)/8), near(float64(w.tpq)/6)
	if abs(t-b) < abs(t-a) {
		return b
	}
	return a
}

func abs(t score.Tick) score.Tick { return max(t, -t) }

// put keeps a note for a bar; the same note of another time through counts once.
func (w *writer) put(at addPlace, a addedNote) {
	for _, o := range w.adds[at] {
		if o.from == a.from && o.to == a.to && o.key == a.key && o.staff == a.staff {
			return
		}
	}
	w.adds[at] = append(w.adds[at], a)
	w.edited[measureOf(at.part, at.measure)] = true
}

// writeAdded writes the added notes, in voices that the bar does not have yet.
func (w *writer) writeAdded() {
	for _, p := range w.src.parts {
		top := 0
		for _, m := range p.measures {
			for _, n := range m.notes {
				top = max(top, integer(n.voice, 0))
			}
		}
		for _, m := range p.measures {
			w.addVoices(p, m, top+1)
		}
	}
}

func (w *writer) addVoices(p *part, m *measure, voice int) {
	adds := w.adds[addPlace{p, m.index}]
	slices.SortStableFunc(adds, func(a, b addedNote) int {
		for _, d := range []score.Tick{score.Tick(a.staff - b.staff), a.from - b.from, b.to - a.to, score.Tick(a.key - b.key)} {
			if d != 0 {
				return int(d)
			}
		}
		return 0
	})
	pos, length := m.end, w.barLength(w.firsts[m.index])
	if w.rests {
		pos = 0
	}
	for staff := range p.staves {
		var mine []addedNote
		for _, a := range adds {
			if a.staff == staff {
				mine = append(mine, a)
			}
		}
		for slot := 0; len(mine) > 0 || (w.rests && slot == 0); slot++ {
			now, later := w.voiceFor(mine, slot)
			mine = later
			if len(now) > 0 || slot == 0 && w.rests {
				w.move(m, pos, 0)
				w.writeVoice(p, m, now, staff, voice+4*staff+slot, length, w.rests && slot == 0)
				pos = length
			}
		}
	}
}

// voiceFor picks the notes that one voice can play; what is tied over from the
// bar before stays in its voice.
func (w *writer) voiceFor(notes []addedNote, slot int) (now, later []addedNote) {
	var over []addedNote
	for _, a := range notes {
		if s, ok := w.slots[a.id]; ok && a.tieStop && s == slot {
			over = append(over, a)
		}
	}
	pos, group := score.Tick(0), addedNote{from: -1}
	for _, a := range notes {
		s, tied := w.slots[a.id]
		tied = tied && a.tieStop
		chord := a.from == group.from && a.to == group.to
		fits := chord || a.from >= pos
		if !tied && len(over) > 0 && a.from < over[0].to && (a.from != over[0].from || a.to != over[0].to) {
			fits = false
		}
		if !fits || tied && s > slot {
			later = append(later, a)
			continue
		}
		w.slots[a.id] = slot
		now = append(now, a)
		pos, group = max(pos, a.to), a
	}
	return now, later
}

// writeVoice writes notes that follow each other or stand in chords.
func (w *writer) writeVoice(p *part, m *measure, notes []addedNote, staff, voice int, length score.Tick, rests bool) {
	pos, group := score.Tick(0), addedNote{from: -1}
	gap := func(to score.Tick) {
		if rests {
			w.writeLength(m, addedNote{from: pos, to: to, key: -1, staff: staff}, voice, p, false)
		} else {
			w.move(m, pos, max(pos, to))
		}
	}
	for _, a := range notes {
		chord := a.from == group.from && a.to == group.to
		if !chord {
			gap(a.from)
		}
		w.writeLength(m, a, voice, p, chord)
		pos, group = a.to, a
	}
	gap(length)
}

// appendTo puts an element at the end of a bar, before its closing bar line.
func (w *writer) appendTo(m *measure, e *etree.Element) {
	el := w.copied[m.el]
	for i := len(el.Child) - 1; i >= 0; i-- {
		if c, ok := el.Child[i].(*etree.Element); ok {
			if c.Tag == "barline" && c.SelectAttrValue("location", "right") == "right" {
				continue
			}
			el.InsertChildAt(i+1, e)
			return
		}
	}
	el.InsertChildAt(0, e)
}

func (w *writer) divisions(m *measure, ticks score.Tick) float64 {
	div := m.div
	if n := len(m.notes); n > 0 {
		div = m.notes[n-1].div
	}
	if div <= 0 {
		div = 1
	}
	return float64(ticks) * div / float64(w.tpq)
}

// move writes a backup or a forward.
func (w *writer) move(m *measure, from, to score.Tick) {
	tag := "forward"
	if to < from {
		tag = "backup"
	} else if to == from {
		return
	}
	e := etree.NewElement(tag)
	e.AddChild(with("duration", decimal(w.divisions(m, abs(to-from)))))
	w.appendTo(m, e)
}

// writeLength writes a note, or a rest where the key is -1, as one or more
// printed notes.
func (w *writer) writeLength(m *measure, a addedNote, voice int, p *part, chord bool) {
	if a.to <= a.from {
		return
	}
	ps := w.printable(a.from, a.to)
	if ps == nil && a.key < 0 {
		w.move(m, a.from, a.to)
		return
	}
	if ps == nil { // what cannot be printed keeps its duration without a type
		ps = []sized{{ticks: a.to - a.from}}
	}
	var heads []*etree.Element // of a chord, its pieces that are already written
	if chord {
		notes := elements(w.copied[m.el], "note")
		for i := len(notes) - 1; i >= 0 && len(heads) < len(ps); i-- {
			if child(notes[i], "chord") == nil {
				heads = append(heads, notes[i])
			}
		}
		slices.Reverse(heads)
	}
	for i, k := range ps {
		n := w.newNote(m, a, voice, p, k, chord, a.tieStop || i > 0, a.tieStart || i+1 < len(ps))
		for _, o := range a.ornaments {
			if i == 0 && a.key >= 0 {
				notationsOf(n).AddChild(o.Copy())
			}
		}
		if chord && i < len(heads) {
			after(heads[i], n)
		} else {
			w.appendTo(m, n)
		}
	}
}

func (w *writer) newNote(m *measure, a addedNote, voice int, p *part, k sized, chord, stop, start bool) *etree.Element {
	n := etree.NewElement("note")
	if chord {
		insert(n, etree.NewElement("chord"))
	}
	insert(n, with("duration", decimal(w.divisions(m, k.ticks))))
	insert(n, with("voice", fmt.Sprint(voice)))
	if k.kind != "" {
		insert(n, with("type", k.kind))
	}
	for range k.dots {
		insert(n, etree.NewElement("dot"))
	}
	if k.triplet {
		tm := etree.NewElement("time-modification")
		tm.AddChild(with("actual-notes", "3"))
		tm.AddChild(with("normal-notes", "2"))
		insert(n, tm)
	}
	if p.staves > 1 {
		insert(n, with("staff", fmt.Sprint(a.staff+1)))
	}
	if a.key < 0 {
		insert(n, etree.NewElement("rest"))
		return n
	}
	w.setPitch(m, n, a.key-a.transpose)
	if stop {
		tie(n, "stop")
	}
	if start {
		tie(n, "start")
	}
	w.byID[a.id] = append(w.byID[a.id], n)
	return n
}
