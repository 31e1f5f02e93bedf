package musicxml

import (
	"slices"

	"afterchord/acoustics/plural"

	"github.com/beevik/etree"
)

// repeatRun is a stretch of bars of a part under signs that repeat the bars before them (MusicXML 4.0, "measure-repeat").
type repeatRun struct {
	part     *part
	from, to int  // bars; to is the first after it
	staff    int  // from 0, -1 for all
	period   int  // how many bars are repeated together
	written  bool // the notes stand in the file, from a bar on
}

// writeOutRepeats puts the notes that measure repeats stand for into bars that have none of their own, up to the
// first bar that has. The signs stay.
func (r *reader) writeOutRepeats(p *part) {
	open := map[int]*repeatRun{} // by staff
	div := 1.0
	for i, m := range p.measures {
		before := div // of the bar
		for _, a := range elements(m.el, "attributes") {
			if d, ok := number(text(a, "divisions")); ok && d > 0 {
				div = d
			}
			for _, style := range elements(a, "measure-style") {
				sign := child(style, "measure-repeat")
				if sign == nil {
					continue
				}
				staff := min(integer(style.SelectAttrValue("number", ""), 0), p.staves) - 1
				if run := open[staff]; run != nil {
					run.to = i
					delete(open, staff)
				}
				if sign.SelectAttrValue("type", "start") == "start" {
					run := &repeatRun{part: p, from: i, to: len(p.measures), staff: staff, period: max(1, integer(sign.Text(), 1))}
					open[staff] = run
					r.src.repeats = append(r.src.repeats, run)
				}
			}
		}
		m.div = div
		for staff := -1; staff < p.staves; staff++ {
			run := open[staff]
			if run == nil || run.written {
				continue
			}
			switch length, _ := measureLength(m.el, before); {
			case m.sounds(staff):
				run.written = true
			case i < run.period:
				r.remark(i, 0, p.first+max(0, staff), "a sign repeats %s where there are not so many before it: silence", plural.Count(run.period, "bar"))
			default:
				r.fill(p.measures[i-run.period], m, staff, length)
			}
		}
	}
}

// staffOf is the staff of a note, from 0.
func staffOf(note *etree.Element) int { return integer(text(note, "staff"), 1) - 1 }

// sounds reports whether a staff (all for -1) has notes in a bar.
func (m *measure) sounds(staff int) bool {
	for _, n := range elements(m.el, "note") {
		if child(n, "rest") == nil && child(n, "cue") == nil && (staff < 0 || staffOf(n) == staff) {
			return true
		}
	}
	return false
}

// mostFilled bounds the notes that are written out for signs.
const mostFilled = 200_000

// fill gives a bar of the given length, in crotchets, the notes of an earlier one.
func (r *reader) fill(from, to *measure, staff int, length float64) {
	whole, _ := measureLength(from.el, from.div)
	if length > 0 && length != whole {
		r.remark(to.index, 0, -1, "a sign repeats a bar of another length (%.4g crotchets in place of %.4g): silence", whole, length)
		return
	}
	pos := 0.0
	for _, e := range to.el.ChildElements() {
		if child(e, "chord") != nil || child(e, "grace") != nil {
			continue
		}
		d, timed := number(text(e, "duration"))
		if timed && (staff < 0 || staffOf(e) == staff) && child(e, "rest") != nil { // the sign is printed in its place
			to.el.InsertChildAt(e.Index(), timeStep("forward", d))
			to.el.RemoveChild(e)
		}
		switch e.Tag {
		case "backup":
			pos = max(0, pos-d)
		case "note", "forward":
			pos += d
		}
	}
	var put []*etree.Element
	if pos > 0 {
		put = append(put, timeStep("backup", pos))
	}
	scale := to.div / from.div
	for _, e := range from.el.ChildElements() {
		d, timed := number(text(e, "duration"))
		switch mine := staff < 0 || staffOf(e) == staff; {
		case e.Tag == "note" && mine && child(e, "cue") == nil:
			c := e.Copy()
			c.RemoveAttr("id")
			removeAll(c, "lyric")
			if timed && scale != 1 {
				child(c, "duration").SetText(decimal(d * scale))
			}
			put = append(put, c)
		case !timed || child(e, "chord") != nil || child(e, "grace") != nil:
		case e.Tag == "note":
			put = append(put, timeStep("forward", d*scale))
		case e.Tag == "backup", e.Tag == "forward":
			put = append(put, timeStep(e.Tag, d*scale))
		}
	}
	if r.filled += len(put); r.filled > mostFilled {
		r.remark(to.index, 0, -1, "signs repeat more than %d notes: silence from here on", mostFilled)
		return
	}
	at := len(to.el.Child) // where the notes come: before the bar line
	for _, e := range slices.Backward(to.el.ChildElements()) {
		if e.Tag == "barline" && e.SelectAttrValue("location", "right") != "left" {
			at = e.Index()
		}
	}
	for i, e := range put {
		to.el.InsertChildAt(at+i, e)
	}
}

// timeStep is a <backup> or <forward>.
func timeStep(tag string, duration float64) *etree.Element {
	e := etree.NewElement(tag)
	e.AddChild(with("duration", decimal(duration)))
	return e
}

// dropRepeatSigns takes the signs off runs in which, or in whose pattern, notes were changed: the notes stand there and hold alone.
func (w *writer) dropRepeatSigns() {
	for _, run := range w.src.repeats {
		changed := false
		for _, m := range run.part.measures[max(0, run.from-run.period):run.to] {
			changed = changed || w.edited[m]
		}
		if !changed {
			continue
		}
		ms := run.part.measures
		w.takeSign(ms[run.from], run.staff, "start")
		if run.to < len(ms) {
			w.takeSign(ms[run.to], run.staff, "stop")
		}
	}
}

// takeSign takes the start or the stop of a measure repeat out of a bar.
func (w *writer) takeSign(m *measure, staff int, kind string) {
	for _, a := range elements(w.copied[m.el], "attributes") {
		for _, style := range elements(a, "measure-style") {
			sign := child(style, "measure-repeat")
			if sign != nil && integer(style.SelectAttrValue("number", ""), 0)-1 == staff && sign.SelectAttrValue("type", "start") == kind {
				a.RemoveChild(style)
			}
		}
	}
}
