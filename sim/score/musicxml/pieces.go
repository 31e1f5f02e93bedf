package musicxml

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// noteOrder is the order of elements within <note> (MusicXML 4.0, "note").
var noteOrder = []string{"grace", "cue", "chord", "pitch", "unpitched", "rest", "duration", "tie", "instrument", "footnote", "level",
	"voice", "type", "dot", "accidental", "time-modification", "stem", "notehead", "notehead-text", "staff", "beam", "notations", "lyric", "play", "listen"}

// insert puts a child where its place within the note is.
func insert(note, c *etree.Element) {
	rank := slices.Index(noteOrder, c.Tag)
	for i, t := range note.Child {
		if e, ok := t.(*etree.Element); ok && slices.Index(noteOrder, e.Tag) > rank {
			note.InsertChildAt(i, c)
			return
		}
	}
	note.AddChild(c)
}

func removeAll(e *etree.Element, tag string) {
	for _, c := range elements(e, tag) {
		e.RemoveChild(c)
	}
}

func with(tag, text string) *etree.Element {
	e := etree.NewElement(tag)
	if text != "" {
		e.SetText(text)
	}
	return e
}

func notationsOf(note *etree.Element) *etree.Element {
	if ns := child(note, "notations"); ns != nil {
		return ns
	}
	ns := etree.NewElement("notations")
	insert(note, ns)
	return ns
}

func decimal(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(v, 'f', 9, 64), "0"), ".")
}

// piece is a printable length: a note type with or without a dot.
type piece struct {
	kind   string
	dots   int
	eights int // demisemiquavers
}

var pieces = []piece{
	{"breve", 0, 64}, {"whole", 1, 48}, {"whole", 0, 32}, {"half", 1, 24}, {"half", 0, 16}, {"quarter", 1, 12}, {"quarter", 0, 8},
	{"eighth", 1, 6}, {"eighth", 0, 4}, {"16th", 1, 3}, {"16th", 0, 2}, {"32nd", 0, 1},
}

// split cuts a length in demisemiquavers into printable pieces, longest first.
func split(eighths int) (out []piece) {
	for eighths > 0 {
		for _, p := range pieces {
			if p.eights <= eighths {
				out = append(out, p)
				eighths -= p.eights
				break
			}
		}
	}
	return out
}

// setLength writes duration, type and dots. crotchets is the printed length before time modification.
func setLength(note *etree.Element, p piece, duration float64) {
	for _, tag := range []string{"duration", "type", "dot"} {
		removeAll(note, tag)
	}
	insert(note, with("duration", decimal(duration)))
	insert(note, with("type", p.kind))
	for range p.dots {
		insert(note, etree.NewElement("dot"))
	}
}

// lengths are note or rest values one after another, with their durations in divisions.
type lengths struct {
	kinds     []piece
	durations []float64
}

func (l *lengths) add(kind piece, duration float64) {
	l.kinds, l.durations = append(l.kinds, kind), append(l.durations, duration)
}

// cut divides a chord at end into values that it still lasts and rests for what is left of it.
func (w *writer) cut(first *printedNote, end score.Tick) (notes, rests lengths) {
	ratio := 1.0
	if tm := child(first.el, "time-modification"); tm != nil {
		if a, n := integer(text(tm, "actual-notes"), 0), integer(text(tm, "normal-notes"), 0); a > 0 && n > 0 {
			ratio = float64(n) / float64(a)
		}
	}
	unit := float64(w.tpq) / 8 * ratio // a demisemiquaver in ticks
	whole := int(math.Round(float64(first.length) / unit))
	keep := int(math.Floor(float64(end-first.at)/unit + 1e-6))
	toDiv := first.div / float64(w.tpq)
	if math.Abs(float64(whole)*unit-float64(first.length)) > 1 || whole < 2 {
		// No whole number of demisemiquavers: half of it, whatever its type is.
		kind := halfOf(text(first.el, "type"))
		half := float64(first.length) / 2 * toDiv
		notes.add(kind, half)
		rests.add(kind, half)
		return notes, rests
	}
	keep = min(max(keep, 1), whole-1)
	for _, p := range split(keep) {
		notes.add(p, float64(p.eights)*unit*toDiv)
	}
	rest := split(whole - keep)
	slices.Reverse(rest) // short rests first, back to the beat
	for _, p := range rest {
		rests.add(p, float64(p.eights)*unit*toDiv)
	}
	return notes, rests
}

// takeTupletEnds takes the ends of tuplets off a note.
func takeTupletEnds(note *etree.Element) (ends []*etree.Element) {
	for _, ns := range elements(note, "notations") {
		for _, t := range elements(ns, "tuplet") {
			if t.SelectAttrValue("type", "") == "stop" {
				ns.RemoveChild(t)
				ends = append(ends, t)
			}
		}
		if len(ns.ChildElements()) == 0 {
			note.RemoveChild(ns)
		}
	}
	return ends
}

// shorten makes a chord end at end and fills the rest of its length with rests.
func (w *writer) shorten(first *printedNote, stay []*printedNote, end score.Tick) {
	notes, rests := w.cut(first, end)
	last := w.copied[stay[len(stay)-1].el]
	held := slices.ContainsFunc(stay, w.holds)
	var tuplets []*etree.Element
	for _, n := range stay {
		e := w.copied[n.el]
		w.unmark(e)
		w.untie(e, true)
		tuplets = append(tuplets, takeTupletEnds(e)...)
	}
	for i, k := range notes.kinds {
		for _, n := range stay {
			e := w.copied[n.el]
			if i > 0 {
				e = e.Copy()
				for _, tag := range []string{"tie", "notations", "lyric", "accidental"} {
					removeAll(e, tag)
				}
				if w.holds(n) {
					notationsOf(e).AddChild(etree.NewElement("fermata"))
				}
				after(last, e)
				last = e
				w.byID[w.idOf(n)] = append(w.byID[w.idOf(n)], e)
				tie(e, "stop")
			}
			setLength(e, k, notes.durations[i])
			if i+1 < len(notes.kinds) {
				defer tie(e, "start") // once all copies are made
			}
		}
	}
	for i, k := range rests.kinds {
		e := w.copied[first.el].Copy()
		if w.copied[first.el].Parent() == nil {
			e = w.copied[stay[0].el].Copy()
		}
		for _, tag := range []string{"notations", "lyric"} {
			removeAll(e, tag)
		}
		makeRest(e)
		e.RemoveAttr("color")
		setLength(e, k, rests.durations[i])
		if held { // the hold lasts as long as it did
			notationsOf(e).AddChild(etree.NewElement("fermata"))
		}
		after(last, e)
		last = e
		if i == len(rests.kinds)-1 {
			for _, t := range tuplets {
				notationsOf(e).AddChild(t)
			}
		}
	}
}

func halfOf(kind string) piece {
	order := []string{"maxima", "long", "breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th"}
	if i := slices.Index(order, kind); i >= 0 && i+1 < len(order) {
		return piece{kind: order[i+1]}
	}
	return piece{kind: "64th"}
}

func after(e, next *etree.Element) { e.Parent().InsertChildAt(e.Index()+1, next) }

func tie(note *etree.Element, kind string) {
	t := etree.NewElement("tie")
	t.CreateAttr("type", kind)
	insert(note, t)
	t = etree.NewElement("tied")
	t.CreateAttr("type", kind)
	notationsOf(note).InsertChildAt(0, t)
}

var letters = "FCGDAEB" // in the order of sharps

// signature is the alteration that the key signature gives a step.
func signature(fifths int, step string) int {
	i := strings.Index(letters, step)
	switch {
	case fifths > i:
		return 1
	case -fifths > 6-i:
		return -1
	}
	return 0
}

// spell names a written key in a key signature.
func spell(key, fifths int) (step string, alter, octave int) {
	names := "C C# D Eb E F F# G Ab A Bb B"
	switch {
	case fifths > 1:
		names = "C C# D D# E F F# G G# A A# B"
	case fifths < -1:
		names = "C Db D Eb E F Gb G Ab A Bb B"
	}
	name := strings.Fields(names)[key%12]
	if strings.HasSuffix(name, "#") {
		alter = 1
	} else if strings.HasSuffix(name, "b") {
		alter = -1
	}
	return name[:1], alter, key/12 - 1
}

var accidentals = map[int]string{-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}

// setPitch writes a key as pitch and accidental; an octave leaves the spelling.
func (w *writer) setPitch(m *measure, note *etree.Element, key int) {
	key = min(max(key, 12), 127)
	step, alter, octave := spell(key, m.fifths)
	if old := child(note, "pitch"); old != nil {
		s, o := strings.ToUpper(text(old, "step")), integer(text(old, "octave"), 0)
		if a, ok := number(text(old, "alter")); (ok || text(old, "alter") == "") && a == math.Trunc(a) {
			was := 12*(o+1) + steps[s] + int(a)
			if d := key - was; d%12 == 0 {
				step, alter, octave = s, int(a), o+d/12
			}
		}
	}
	removeAll(note, "pitch")
	removeAll(note, "accidental")
	p := etree.NewElement("pitch")
	p.AddChild(with("step", step))
	if alter != 0 {
		p.AddChild(with("alter", fmt.Sprint(alter)))
	}
	p.AddChild(with("octave", fmt.Sprint(octave)))
	insert(note, p)
	wanted := alter != signature(m.fifths, step)
	for _, n := range m.notes { // another alteration of the same step in the bar
		if a, _ := number(text(n.el, "pitch", "alter")); text(n.el, "pitch", "step") == step && int(a) != alter {
			wanted = true
		}
	}
	if wanted && accidentals[alter] != "" {
		insert(note, with("accidental", accidentals[alter]))
	}
}
