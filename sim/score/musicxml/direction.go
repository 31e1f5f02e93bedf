package musicxml

import (
	"math"
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/sim/score"

	"github.com/beevik/etree"
)

func (r *reader) direction(p *part, m *measure, st *partState, e *etree.Element) {
	staff := min(max(integer(text(e, "staff"), 1), 1), p.staves) - 1
	at := r.placeOf(p, m, st, e, staff)
	index := p.first + staff
	add := func(kind score.WordKind, text string, el *etree.Element) {
		if text != "" {
			m.words = append(m.words, barWord{score.Word{At: at, Part: index, Kind: kind, Text: text}, el})
		}
	}
	other := p.between(e, staff)
	soundTempo := child(e, "sound") != nil && child(e, "sound").SelectAttr("tempo") != nil
	said := false // something printed that is not about the speed
	for _, dt := range elements(e, "direction-type") {
		// Words that stand in several elements for their looks are read as one.
		joined := ""
		for _, d := range dt.ChildElements() {
			switch d.Tag {
			case "words":
				joined = strings.TrimSpace(joined + " " + strings.Join(strings.Fields(d.Text()), " "))
			case "dynamics":
				r.dynamics(p, m, at, staff, other, d)
			case "wedge":
				switch kind := d.SelectAttrValue("type", ""); kind {
				case "crescendo", "diminuendo", "stop":
					add(score.Hairpin, kind, e)
					if to := st.wedgeTo(d, kind, other); to >= 0 {
						m.words = append(m.words, barWord{score.Word{At: at, Part: p.first + to, Kind: score.Hairpin, Text: kind}, e})
					}
				}
			case "metronome":
				r.metronome(m, at, index, d, e, soundTempo)
			case "rehearsal":
				kind := score.Marker
				if manualInBox.MatchString(strings.TrimSpace(d.Text())) {
					kind = score.Direction
				}
				add(kind, strings.TrimSpace(d.Text()), e)
			case "segno":
				r.bars[m.index].segnoSign = true
			case "coda":
				r.bars[m.index].codaSign = true
			case "pedal":
				switch d.SelectAttrValue("type", "") {
				case "start", "resume", "sostenuto":
					m.controls = append(m.controls, score.Control{At: at, Part: index, Kind: score.Controller, Number: 64, Value: 127})
				case "stop", "discontinue":
					m.controls = append(m.controls, score.Control{At: at, Part: index, Kind: score.Controller, Number: 64})
				}
			case "bracket", "dashes":
				r.line(m, st, at, p, d, said)
			case "octave-shift", "eyeglasses", "image", "symbol", "principal-voice", "staff-divide":
			default:
				r.remark(m.index, at, index, "%s is not understood", clip(d.Tag))
			}
		}
		if joined != "" {
			kind, word := score.ClassifyWord(score.Direction, joined)
			speed := r.tempoWord(m, at, index, joined, e)
			if c, ok := noteEquals(joined); ok && !soundTempo && child(dt, "metronome") == nil {
				r.src.events = append(r.src.events, speedEvent{measure: m.index, at: at, part: index, kind: markKind, value: c, el: child(dt, "words"), direction: e})
				speed = true
			}
			if said = said || !speed; speed && kind == score.Direction {
				kind = score.Speed
			}
			add(kind, word, e)
			r.jumpWords(m, joined)
		}
	}
	for _, snd := range elements(e, "sound") {
		r.sound(p, m, at, snd, e)
	}
}

// manualInBox are boxed words that are no letter or number of a rehearsal: the number of a manual, or a word ("Sw.").
var manualInBox = lazyregexp.New(`^(II|III|IV|V)\.?$|\p{Ll}`)

// between is the other manual staff where a direction stands between the two, as dynamics in
// keyboard music do for both hands; else -1. A pedal staff is the third.
func (p *part) between(e *etree.Element, staff int) int {
	switch placement := e.SelectAttrValue("placement", ""); {
	case p.staves < 2:
	case staff == 0 && placement == "below":
		return 1
	case staff == 1 && placement == "above":
		return 0
	}
	return -1
}

// wedgeTo is the other staff that a hairpin also concerns, or -1. Its end goes where its
// beginning went, wherever the end is drawn.
func (st *partState) wedgeTo(e *etree.Element, kind string, other int) int {
	number := e.SelectAttrValue("number", "1")
	if kind == "stop" {
		if to, ok := st.wedges[number]; ok {
			delete(st.wedges, number)
			return to
		}
		return -1
	}
	if other < 0 || len(st.wedges) >= maxOpen {
		delete(st.wedges, number)
		return -1
	}
	st.wedges[number] = other
	return other
}

// steady are the marks with one lasting level; the others are a stroke or a
// change within a note, of which the lasting part is kept.
var mixedMarks = map[string]string{"fp": "p", "pf": "f", "sfp": "p", "sfpp": "pp", "n": "ppp"}

// dynamics reads marks on a staff, and on the other manual's where that is not -1.
func (r *reader) dynamics(p *part, m *measure, at score.Tick, staff, other int, d *etree.Element) {
	for _, e := range d.ChildElements() {
		name := e.Tag
		if name == "other-dynamics" {
			name = strings.TrimSpace(e.Text())
		}
		kind, mark := score.ClassifyWord(score.Direction, name)
		if lasting := mixedMarks[name]; lasting != "" {
			kind, mark = score.Mark, lasting
			r.remark(m.index, at, p.first+staff, "%s is played as %s", name, lasting)
		}
		if kind == score.Direction {
			r.remark(m.index, at, p.first+staff, "%s is a stroke that an organ cannot give: no change of level", clip(name))
			continue
		}
		m.words = append(m.words, barWord{score.Word{At: at, Part: p.first + staff, Kind: kind, Text: mark}, d})
		if other >= 0 {
			m.words = append(m.words, barWord{score.Word{At: at, Part: p.first + other, Kind: kind, Text: mark}, d})
		}
	}
}

var digits = lazyregexp.New(`[0-9]+(\.[0-9]+)?`)

func sane(crotchets float64) bool { return crotchets >= 1 && crotchets <= 2000 }

// metronome reads "dotted crotchet = 72" and, as a ratio, "crotchet = quaver".
func (r *reader) metronome(m *measure, at score.Tick, part int, e, direction *etree.Element, overruled bool) {
	units := beatUnits(e)
	v, about, ok := perMinute(text(e, "per-minute"))
	switch {
	case overruled:
	case len(units) == 1 && ok && sane(v*units[0]):
		if about {
			r.remark(m.index, at, -1, "a metronome mark gives a range (%s): its middle, %g, is played", clip(text(e, "per-minute")), v)
		}
		r.src.events = append(r.src.events, speedEvent{measure: m.index, at: at, part: part, kind: markKind, value: v * units[0], el: e, direction: direction})
	case len(units) == 2 && units[0] > 0 && units[1] > 0:
		// The new second unit lasts as long as the old first: the speed in
		// crotchets goes with the ratio.
		r.src.events = append(r.src.events, speedEvent{measure: m.index, at: at, part: part, kind: ratioKind, value: units[1] / units[0], el: e, direction: direction})
	default:
		r.remark(m.index, at, -1, "a metronome mark is not understood")
	}
}

// tempoWord keeps what words say about the speed; false where that is nothing.
func (r *reader) tempoWord(m *measure, at score.Tick, part int, words string, direction *etree.Element) bool {
	kind, value, table, crotchets, ok := speedWord(words)
	if !ok {
		return false
	}
	if kind == tableKind {
		value = crotchets
	}
	r.src.events = append(r.src.events, speedEvent{measure: m.index, at: at, part: part, kind: kind, value: value, word: clip(words), table: table, direction: direction})
	return true
}

// line follows the dashed lines and brackets that stand beside a gradual change of speed,
// in its direction or in one of their own at the same place.
func (r *reader) line(m *measure, st *partState, at score.Tick, p *part, e *etree.Element, other bool) {
	k := e.Tag + e.SelectAttrValue("number", "1")
	switch e.SelectAttrValue("type", "") {
	case "start":
		delete(st.lines, k)
		if other || len(st.lines) >= maxOpen {
			return
		}
		for i := len(r.src.events) - 1; i >= 0; i-- {
			x := &r.src.events[i]
			if x.measure != m.index || x.part < p.first || x.at != at {
				return
			}
			if x.kind == gradualKind {
				x.line = &speedLine{}
				st.lines[k] = x.line
				return
			}
		}
	case "stop":
		if l := st.lines[k]; l != nil {
			*l = speedLine{closed: true, measure: m.index, at: at}
			delete(st.lines, k)
		}
	}
}

// printsSpeed tells whether a direction shows a metronome mark or words.
func printsSpeed(direction *etree.Element) bool {
	for _, dt := range elements(direction, "direction-type") {
		if child(dt, "metronome") != nil || text(dt, "words") != "" {
			return true
		}
	}
	return false
}

// sound reads the playback element.
func (r *reader) sound(p *part, m *measure, at score.Tick, e, direction *etree.Element) {
	if off, ok := number(text(e, "offset")); ok && m.div > 0 && math.Abs(off/m.div) < maxBarCrotchets {
		at = max(0, at+score.Tick(math.Round(off*float64(r.tpq)/m.div)))
	}
	if v, ok := attrNumber(e, "tempo"); ok && sane(v) {
		r.src.events = append(r.src.events, speedEvent{measure: m.index, at: at, part: p.first, kind: markKind, value: v, el: e, direction: direction, bare: !printsSpeed(direction)})
	} else if e.SelectAttr("tempo") != nil {
		r.remark(m.index, at, -1, "a tempo of %q is not understood", clip(e.SelectAttrValue("tempo", "")))
	}
	if sw := child(e, "swing"); sw != nil && child(sw, "straight") == nil {
		r.remark(m.index, at, -1, "swing is not played: the rhythm is that of the notes")
	}
	bar := &r.bars[m.index]
	switch e.SelectAttrValue("damper-pedal", "") {
	case "yes", "no":
		v := 0
		if e.SelectAttrValue("damper-pedal", "") == "yes" {
			v = 127
		}
		m.controls = append(m.controls, score.Control{At: at, Part: p.first, Kind: score.Controller, Number: 64, Value: v})
	}
	bar.dacapo = bar.dacapo || e.SelectAttrValue("dacapo", "") == "yes"
	bar.forward = bar.forward || e.SelectAttrValue("forward-repeat", "") == "yes"
	if v := e.SelectAttrValue("fine", ""); v != "" && v != "no" {
		bar.fine = true
	}
	for name, to := range map[string]*string{"segno": &bar.segno, "dalsegno": &bar.dalsegno, "coda": &bar.coda, "tocoda": &bar.tocoda} {
		if v := e.SelectAttrValue(name, ""); v != "" {
			*to = v
		}
	}
}

// voltaNumbers reads the numbers of a volta, from its attribute or, where that is empty, from its text ("1.-3.").
func (r *reader) voltaNumbers(e *etree.Element) (out []int) {
	list := e.SelectAttrValue("number", "")
	if strings.TrimSpace(list) == "" {
		list = e.Text()
	}
	for _, f := range digits.FindAllString(list, 64) {
		if v := integer(strings.SplitN(f, ".", 2)[0], 0); v > 0 && v < 1000 {
			out = append(out, v)
		}
	}
	if len(out) == 2 && strings.ContainsAny(list, "-–") {
		for v := out[0] + 1; v < out[1]; v++ {
			out = append(out, v)
		}
	}
	return out
}

func (r *reader) barline(p *part, m *measure, st *partState, e *etree.Element) {
	bar := &r.bars[m.index]
	location := e.SelectAttrValue("location", "right")
	// ends and begins are the bars before and after the line. Some programs write the bar line after a bar
	// as the left one of no bar, or leave its place out.
	ends, begins := bar, bar
	if st.pos > 0 && location != "left" && m.index+1 < len(r.bars) {
		begins = &r.bars[m.index+1]
	}
	if location == "left" && m.index > 0 {
		ends = &r.bars[m.index-1]
	}
	switch text(e, "bar-style") {
	case "light-heavy", "heavy-heavy":
		ends.final = true
		ends.double = true
	case "light-light", "heavy-light":
		if location != "left" || m.index > 0 {
			ends.double = true
		}
	}
	if rep := child(e, "repeat"); rep != nil {
		if location == "middle" {
			r.remark(m.index, st.pos, -1, "a repeat inside a bar is taken at its bar line")
			ends, begins = bar, bar
		}
		switch rep.SelectAttrValue("direction", "") {
		case "forward":
			begins.forward = true
		case "backward":
			ends.backward = true
			ends.times = min(max(integer(rep.SelectAttrValue("times", ""), ends.times), 0), 64)
			ends.afterJump = ends.afterJump || rep.SelectAttrValue("after-jump", "") == "yes"
		}
	}
	if en := child(e, "ending"); en != nil {
		numbers := r.voltaNumbers(en)
		switch en.SelectAttrValue("type", "") {
		case "start":
			if len(begins.ending) == 0 {
				begins.ending = numbers
				if len(numbers) == 0 {
					r.remark(m.index, 0, -1, "a volta without a number is always played")
				}
			}
		case "stop", "discontinue":
			ends.endingEnd = true
			ends.endingStop = numbers
		}
	}
	if w := child(e, "wavy-line"); w != nil && w.SelectAttrValue("type", "") == "stop" {
		for k := range st.wavy {
			if k.number == w.SelectAttrValue("number", "1") {
				delete(st.wavy, k)
			}
		}
	}
	if child(e, "segno") != nil {
		bar.segnoSign = true
	}
	if child(e, "coda") != nil {
		bar.codaSign = true
	}
	if child(e, "fermata") != nil {
		r.remark(m.index, st.pos, p.first, "a fermata over the bar line is not played")
	}
}
