package musicxml

import (
	"math"
	"slices"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// smallOffset is what a direction is moved by at most for the look of the page alone, in crotchets.
const smallOffset = 1. / 2

// placeOf is where a direction holds. Its offset says where it is drawn, unless its sound attribute says that it counts for
// playing too (MusicXML 4.0, "offset"): a mark drawn a little beside its note belongs to the note. One that is moved
// further and comes to a beat or to a note stands there; one that comes to neither goes to the nearest note.
func (r *reader) placeOf(p *part, m *measure, st *partState, e *etree.Element, staff int) score.Tick {
	o := child(e, "offset")
	off, ok := 0.0, false
	if o != nil {
		off, ok = number(o.Text())
	}
	if !ok || st.div <= 0 || math.Abs(off/st.div) >= maxBarCrotchets {
		return st.pos
	}
	to := max(0, st.pos+score.Tick(math.Round(off*float64(r.tpq)/st.div)))
	switch {
	case o.SelectAttrValue("sound", "") == "yes":
		return to
	case math.Abs(off/st.div) < smallOffset:
		return st.pos
	}
	beat := r.tpq
	if mt := st.metre; mt.Unit == 8 && mt.Beats%3 == 0 {
		beat = r.tpq * 3 / 2
	}
	if to%beat == 0 {
		return to
	}
	nearest := st.pos
	for _, at := range r.onsets(m, st, staff, p.staves) {
		if abs(at-to) < abs(nearest-to) || nearest == st.pos && abs(at-to) == abs(nearest-to) {
			nearest = at
		}
	}
	return nearest
}

// onsets are where the notes and rests of a staff begin in a bar, and where the bar ends.
func (r *reader) onsets(m *measure, st *partState, staff, staves int) []score.Tick {
	if m.begins != nil {
		return m.begins[staff]
	}
	m.begins = make([][]score.Tick, staves)
	pos, end, div := score.Tick(0), score.Tick(0), m.div
	if div <= 0 {
		div = st.div
	}
	for _, e := range m.el.ChildElements() {
		length := score.Tick(0)
		if d, ok := number(text(e, "duration")); ok && math.Abs(d/div) < maxBarCrotchets {
			length = score.Tick(math.Round(d * float64(r.tpq) / div))
		}
		switch e.Tag {
		case "attributes":
			if d, ok := number(text(e, "divisions")); ok && d > 0 {
				div = d
			}
		case "backup":
			pos = max(0, pos-length)
		case "forward":
			pos += length
		case "note":
			if child(e, "chord") != nil || child(e, "grace") != nil {
				continue
			}
			s := min(max(integer(text(e, "staff"), 1), 1), staves) - 1
			m.begins[s] = append(m.begins[s], pos)
			pos += length
		}
		end = max(end, pos)
	}
	for s := range m.begins {
		m.begins[s] = append(m.begins[s], end)
		slices.Sort(m.begins[s])
	}
	return m.begins[staff]
}
