package musicxml

import (
	"math"
	"strings"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

var steps = map[string]int{"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

// typeCrotchets is the length of a printed note type in crotchets (MusicXML 4.0,
// "note-type-value").
var typeCrotchets = map[string]float64{
	"maxima": 32, "long": 16, "breve": 8, "whole": 4, "half": 2, "quarter": 1, "eighth": 1. / 2, "16th": 1. / 4,
	"32nd": 1. / 8, "64th": 1. / 16, "128th": 1. / 32, "256th": 1. / 64, "512th": 1. / 128, "1024th": 1. / 256,
}

// printed is the length that type, dots and time modification say, in crotchets; 0 without a type.
func printed(e *etree.Element) float64 {
	v := typeCrotchets[text(e, "type")]
	add := v
	for range min(len(elements(e, "dot")), 8) {
		add /= 2
		v += add
	}
	if tm := child(e, "time-modification"); tm != nil {
		actual, normal := integer(text(tm, "actual-notes"), 0), integer(text(tm, "normal-notes"), 0)
		if actual > 0 && normal > 0 {
			v = v * float64(normal) / float64(actual)
		}
	}
	return v
}

func (r *reader) note(p *part, m *measure, st *partState, e *etree.Element) error {
	n := &printedNote{el: e, measure: m, share: 1, steal: -1, voice: text(e, "voice")}
	n.staff = min(max(integer(text(e, "staff"), 1), 1), p.staves) - 1
	n.chord = child(e, "chord") != nil
	if err := r.place(p, m, st, n); err != nil {
		return err
	}
	if child(e, "cue") != nil || st.silent[n.staff] {
		return nil // printed for another player's sake
	}
	n.rest = child(e, "rest") != nil
	if !n.rest {
		ok, err := r.pitch(p, m, st, n)
		if err != nil || !ok {
			return err
		}
	}
	if n.length == 0 && !n.rest && !n.grace {
		r.remark(m.index, n.at, p.first+n.staff, "a note without length is left out")
		return nil
	}
	n.tieStart, n.tieStop = ties(e)
	if v, ok := attrNumber(e, "dynamics"); ok && v > 0 { // per cent of MIDI velocity 90
		n.velocity = min(max(int(math.Round(v*0.9)), 1), 127)
	}
	n.fifths = st.fifths
	n.only = passes(e.SelectAttrValue("time-only", ""))
	n.underWave(st)
	r.notate(p, m, n, st)
	r.compareLengths(p, m, n)
	for _, l := range elements(e, "lyric") {
		if t := text(l, "text"); t != "" && l.SelectAttrValue("number", "1") == "1" {
			m.words = append(m.words, barWord{score.Word{At: n.at, Part: p.first + n.staff, Kind: score.Lyric, Text: t}, l})
		}
	}
	n.div = st.div
	m.notes = append(m.notes, n)
	return nil
}

// place gives a note its beginning and length, and moves on behind it.
func (r *reader) place(p *part, m *measure, st *partState, n *printedNote) error {
	if g := child(n.el, "grace"); g != nil {
		n.grace = true
		n.slash = g.SelectAttrValue("slash", "") == "yes"
		if v, ok := attrNumber(g, "steal-time-following"); ok && v >= 0 && v <= 100 {
			n.steal = v / 100
		}
		if v, ok := attrNumber(g, "steal-time-previous"); ok && v > 0 && v <= 100 {
			n.steal, n.back = v/100, true
		}
		n.at, n.length = st.pos, score.Tick(math.Round(printed(n.el)*float64(r.tpq)))
		return nil
	}
	if child(n.el, "duration") == nil && printed(n.el) > 0 {
		n.length = score.Tick(math.Round(printed(n.el) * float64(r.tpq)))
		r.remark(m.index, st.pos, p.first+n.staff, "a note has no duration: its printed length is used")
	} else {
		d, err := r.duration(p, m, st, n.el)
		if err != nil {
			return err
		}
		n.length = d
	}
	if n.chord {
		n.at = st.lastAt
		return nil
	}
	n.at, st.lastAt = st.pos, st.pos
	st.pos += n.length
	return r.grow(p, m, st)
}

// ties says whether a tie begins at a note and whether one ends there: as it sounds, or else as it is drawn.
func ties(e *etree.Element) (start, stop bool) {
	all := elements(e, "tie")
	if len(all) == 0 {
		for _, ns := range elements(e, "notations") {
			all = append(all, elements(ns, "tied")...)
		}
	}
	for _, t := range all {
		start = start || t.SelectAttrValue("type", "") == "start"
		stop = stop || t.SelectAttrValue("type", "") == "stop"
	}
	return start, stop
}

// compareLengths remarks a note that does not last as long as it is printed.
func (r *reader) compareLengths(p *part, m *measure, n *printedNote) {
	w, length := printed(n.el), float64(n.length)
	if n.sign != nil && n.sign.kind != "" && n.sign.kind != "single" && math.Abs(w*float64(r.tpq)-2*length) < 2 {
		w /= 2 // either of two notes in tremolo is printed as long as both
	}
	if w > 0 && !n.grace && !n.rest && math.Abs(w*float64(r.tpq)-length) > float64(r.tpq)/8 {
		r.remark(m.index, n.at, p.first+n.staff, "a note is printed as %.3g crotchets and lasts %.3g: the latter is played", w, length/float64(r.tpq))
	}
}

// passes reads a list of times through a repeat: "1, 3".
func passes(list string) (out []int) {
	for _, f := range digits.FindAllString(list, 64) {
		if v := integer(f, 0); v > 0 {
			out = append(out, v)
		}
	}
	return out
}

// pitch sets the sounding key; ok is false for what has none.
func (r *reader) pitch(p *part, m *measure, st *partState, n *printedNote) (ok bool, err error) {
	pe := child(n.el, "pitch")
	if pe == nil {
		if child(n.el, "unpitched") == nil {
			return false, r.fail(p, m, "a note has neither pitch nor rest")
		}
		r.remark(m.index, n.at, p.first+n.staff, "an unpitched note is left out")
		return false, nil
	}
	step, known := steps[strings.ToUpper(text(pe, "step"))]
	oct, octOK := number(text(pe, "octave"))
	if !known || !octOK || oct < 0 || oct > 9 {
		return false, r.fail(p, m, "the pitch %q, octave %q, is not understood", clip(text(pe, "step")), clip(text(pe, "octave")))
	}
	alter, _ := number(text(pe, "alter"))
	if alter != math.Trunc(alter) {
		r.remark(m.index, n.at, p.first+n.staff, "a pitch %g semitones from its natural is played at the nearest key", alter)
	}
	n.transpose = st.transpose[-1]
	if t, own := st.transpose[n.staff]; own {
		n.transpose = t
	}
	if math.Abs(alter) > 12 {
		return false, r.fail(p, m, "an alteration of %g semitones", alter)
	}
	n.key = 12*(int(oct)+1) + step + int(math.Round(alter)) + n.transpose
	if n.key < 0 || n.key > 127 {
		r.remark(m.index, n.at, p.first+n.staff, "a note lies outside the range of MIDI keys and is left out")
		return false, nil
	}
	return true, nil
}

// graceVoice is where the grace notes of a voice stand as its bar is read.
type graceVoice struct {
	pending []*printedNote // grace notes without a note after them
	last    []*printedNote // the last chord or rest
	shift   score.Tick
	length  score.Tick // of the bar
}

// placeGraces gives the grace notes of a bar their time. Over the bar line go those that say from which side they take it: at a bar's
// beginning from the last note of the bar before (steal-time-previous), at its end from the first of the next (steal-time-following).
func (r *reader) placeGraces(m *measure, st *partState) {
	before := st.graces
	st.graces = map[string]*graceVoice{}
	for _, n := range m.notes {
		v := st.graces[n.voice]
		if v == nil {
			v = &graceVoice{length: m.length}
			st.graces[n.voice] = v
		}
		switch {
		case n.grace:
			v.pending = append(v.pending, n)
		case n.chord && len(v.last) > 0:
			n.shift = min(v.shift, n.length/2)
			v.last = append(v.last, n)
		default:
			if v.last == nil && n.at == 0 {
				r.overBarLine(before[n.voice], v, n)
			} else if len(v.pending) > 0 && v.pending[0].back && len(v.last) > 0 {
				r.takeBefore(v.pending, v.last)
				v.pending = nil
			}
			if len(v.pending) > 0 {
				v.shift = r.graceTime(v.pending, n.length, n.at)
			} else if v.last != nil {
				v.shift = 0
			}
			if !n.rest {
				n.shift = v.shift
			}
			v.pending, v.last = nil, []*printedNote{n}
		}
	}
	r.settleGraces(before)
	for _, v := range st.graces {
		if len(v.pending) > 0 && (v.pending[0].back || v.pending[0].steal <= 0) {
			r.settle(v)
		}
	}
}

// overBarLine lets the grace notes between the last note of a voice in the bar before and its first in this one take their time from
// where they say.
func (r *reader) overBarLine(before, v *graceVoice, n *printedNote) {
	if before == nil || len(before.pending) > 0 && len(v.pending) > 0 {
		return
	}
	if len(before.pending) > 0 && !n.rest {
		v.shift = r.graceTime(before.pending, n.length, before.length)
		before.pending = nil
		return
	}
	if len(v.pending) == 0 || !v.pending[0].back || len(before.last) == 0 {
		return
	}
	if last := before.last[0]; last.at+last.length == before.length {
		r.takeBefore(v.pending, before.last)
		for _, g := range v.pending {
			g.at -= before.length
		}
		v.pending = nil
	}
}

// settleGraces gives grace notes that no note follows their time.
func (r *reader) settleGraces(voices map[string]*graceVoice) {
	for _, v := range voices {
		r.settle(v)
	}
}

func (r *reader) settle(v *graceVoice) {
	switch {
	case len(v.pending) == 0:
	case len(v.last) == 0:
		r.graceTime(v.pending, r.tpq, v.pending[0].at)
	default:
		r.takeBefore(v.pending, v.last)
	}
	v.pending = nil
}

// takeBefore gives grace notes the end of the chord before them.
func (r *reader) takeBefore(graces, chord []*printedNote) {
	n := chord[0]
	total := r.graceTime(graces, n.length, n.at+n.length)
	for _, g := range graces {
		g.at -= total
	}
	for _, n := range chord {
		n.cut = min(total, n.length-1)
	}
}

// graceTime lays grace notes from at on and returns the time they take of a note
// of the given length.
func (r *reader) graceTime(graces []*printedNote, length, at score.Tick) score.Tick {
	if len(graces) == 0 {
		return 0
	}
	var sizes []score.Tick
	total, steal := score.Tick(0), 0.0
	for _, g := range graces {
		if g.chord && len(sizes) > 0 {
			continue
		}
		size := r.tpq / 8
		if !g.slash && g.length > 0 {
			size = g.length
		}
		sizes = append(sizes, size)
		total += size
		if g.steal > 0 {
			steal += g.steal
		}
	}
	most := float64(length) / 2
	want := min(float64(total), most)
	if steal > 0 {
		want = min(steal, 0.95) * float64(length)
	}
	scale := want / float64(total)
	i, from, to := -1, 0.0, 0.0
	for _, g := range graces {
		if !g.chord || i < 0 {
			i++
			from, to = to, to+float64(sizes[i])*scale
		}
		g.at = at + score.Tick(from)
		g.length = max(1, score.Tick(to)-score.Tick(from))
	}
	return score.Tick(want)
}
