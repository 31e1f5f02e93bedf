package musicxml

import (
	"cmp"
	"maps"
	"slices"
	"sort"
	"strings"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// Ornament is a row of the table [Ornaments].
type Ornament struct {
	Element string
	Rate    float64 // notes a second
	Notes   string  // in order: m the note, u and l its upper and lower neighbour, s the third below; "…" goes on, a last m is held
	Reason  string
}

// Ornaments is how ornaments are played, by the element within <ornaments>. The element names
// are those of MusicXML 4.0; that a trill begins with the upper note and mordents with the
// note itself are the defaults of its attribute group trill-sound. The speeds are common
// practice at the organ, where the room blurs what is faster; they are kept as whole parts of
// the crotchet, so that they can be printed. Neighbours come from the key signature, the
// accidentals of the bar and the accidental-mark over the sign.
var Ornaments = []Ornament{
	{"trill-mark", 10, "um…", "from the upper note, an even number, to the end of the note and what is tied to it"},
	{"shake", 10, "um…", "a trill"},
	{"wavy-line", 10, "um…", "a trill as long as the line"},
	{"inverted-mordent", 12, "mum", "one quick turn to the note above"},
	{"mordent", 12, "mlm", "one quick turn to the note below"},
	{"turn", 12, "umlm", "round the note, at its beginning"},
	{"inverted-turn", 12, "lmum", "round the note from below"},
	{"vertical-turn", 12, "umlm", "printed upright, a turn all the same"},
	{"inverted-vertical-turn", 12, "lmum", "printed upright, an inverted turn all the same"},
	{"haydn", 12, "umlm", "mostly a turn"},
	{"delayed-turn", 12, "m…umlm", "round the note, at its end"},
	{"delayed-inverted-turn", 12, "m…lmum", "round the note from below, at its end"},
	{"schleifer", 12, "slm", "a slide from the third below up to the note"},
	{"tremolo", 12, "m…", "by the strokes, half of the value with each; no faster than this"},
}

func ornamentNamed(tag string) *Ornament {
	for i := range Ornaments {
		if Ornaments[i].Element == tag {
			return &Ornaments[i]
		}
	}
	return nil
}

// Rolled chords: notes a second of arpeggiate, and the share of the chord that the roll takes
// at most (common practice).
const (
	rollRate  = 16.0
	rollShare = 1. / 2
)

// shortestTone is the shortest note of an ornament in seconds; what would need shorter ones
// is played plain (an assumption of ours: a pallet opens and closes some fifteen times a
// second at most).
const shortestTone = 1. / 16

// sign is an ornament over a printed note.
type sign struct {
	row          *Ornament
	carrier      *printedNote // that it is written at; in a chord another may be meant
	below        bool
	upper, lower *int // alteration of the neighbours, where an accidental says so
	step         string
	start        string // "upper", "main", "below" or ""
	turn, long   bool   // a turn at the end of a trill; a longer mordent
	strokes      int    // of a tremolo
	kind         string // of a tremolo
	continued    bool   // goes on through a tie or a wavy line
}

var accidentalAlter = map[string]int{"sharp": 1, "natural": 0, "flat": -1, "double-sharp": 2, "sharp-sharp": 2, "flat-flat": -2, "natural-sharp": 1, "natural-flat": -1}

// ornaments reads <ornaments>; of several signs over a note the first that is played counts.
func (r *reader) ornaments(p *part, m *measure, n *printedNote, e *etree.Element, st *partState) {
	for _, o := range e.ChildElements() {
		row := ornamentNamed(o.Tag)
		switch {
		case o.Tag == "accidental-mark":
			n.sign.mark(o)
			continue
		case o.Tag == "wavy-line":
			r.wavy(n, o, st)
			continue
		case row == nil:
			r.remark(m.index, n.at, p.first+n.staff, "%s is played as the plain note", clip(o.Tag))
			continue
		case n.sign != nil && !n.sign.continued:
			if strings.HasSuffix(o.Tag, "turn") && strings.Contains(n.sign.row.Notes, "um…") {
				n.sign.turn = true // a trill that ends in a turn
			} else if n.sign.row != row {
				r.remark(m.index, n.at, p.first+n.staff, "%s beside %s is not played", clip(o.Tag), n.sign.row.Element)
			}
			continue
		case o.Tag == "tremolo" && (o.SelectAttrValue("type", "") == "unmeasured" || integer(o.Text(), 0) < 1):
			if o.SelectAttrValue("type", "") != "unmeasured" && strings.TrimSpace(o.Text()) != "" {
				continue // without strokes
			}
		}
		s := &sign{row: row, carrier: n, below: o.SelectAttrValue("placement", "") == "below"}
		s.step, s.start = o.SelectAttrValue("trill-step", ""), o.SelectAttrValue("start-note", "")
		turn := o.SelectAttrValue("two-note-turn", "none")
		s.turn = turn != "none"
		s.long = o.SelectAttrValue("long", "") == "yes"
		if o.SelectAttrValue("slash", "") == "yes" && o.Tag == "turn" { // a stroke through the sign turns it over
			s.row = ornamentNamed("inverted-turn")
		}
		if o.Tag == "tremolo" {
			s.kind = o.SelectAttrValue("type", "single")
			if s.strokes = min(integer(o.Text(), 3), 8); s.kind == "unmeasured" || s.strokes < 1 {
				s.strokes = 3
			}
		}
		n.sign = s
	}
}

// mark takes an accidental over or under a sign.
func (s *sign) mark(e *etree.Element) {
	alter, known := accidentalAlter[strings.TrimSpace(e.Text())]
	if s == nil || !known {
		return
	}
	lower := strings.HasPrefix(s.row.Notes, "ml") || s.upper != nil
	switch e.SelectAttrValue("placement", "") {
	case "above":
		lower = strings.HasPrefix(s.row.Notes, "ml")
	case "below":
		lower = strings.Contains(s.row.Notes, "l")
	}
	if lower {
		s.lower = &alter
	} else {
		s.upper = &alter
	}
}

// wave is an open wavy line.
type wave struct {
	first *printedNote
	under []*printedNote // notes after the first that it has reached
	bar   int
}

// waveBars is how many bars a wavy line may reach, the first counted. What goes on longer without an end has lost it.
const waveBars = 8

// wavy follows wavy lines: notes of the voice under one are trilled. The note where it ends
// is not, where it is neither the first one nor tied to those before.
func (r *reader) wavy(n *printedNote, e *etree.Element, st *partState) {
	k := slurKey{n.voice, e.SelectAttrValue("number", "1")}
	switch e.SelectAttrValue("type", "") {
	case "start":
		r.loseWave(st, k)
		if n.sign == nil {
			n.sign = &sign{row: ornamentNamed("wavy-line"), carrier: n}
		}
		if len(st.wavy) < maxOpen {
			st.wavy[k] = &wave{first: n, bar: n.measure.index}
		}
	case "stop":
		w := st.wavy[k]
		delete(st.wavy, k)
		begins := false // another line
		for _, other := range st.wavy {
			begins = begins || other.first == n
		}
		if w != nil && w.first != n && !begins && !n.tieStop && n.sign != nil && n.sign.continued {
			n.sign = nil
		}
	}
}

// loseWave ends a wavy line whose end is not in the file: it reaches its own note, and what that is tied to.
func (r *reader) loseWave(st *partState, k slurKey) {
	w := st.wavy[k]
	if w == nil {
		return
	}
	delete(st.wavy, k)
	for _, n := range w.under {
		if n.sign != nil && n.sign.continued {
			n.sign = nil
		}
	}
	if len(w.under) > 0 {
		r.remark(w.bar, w.first.at, st.first+w.first.staff, "a wavy line has no end in the file: only the note where it begins, and what is tied to it, is trilled")
	}
}

// loseWaves ends the lines that have gone on for too long, or, at the end of the part, all.
func (r *reader) loseWaves(st *partState, bar int, all bool) {
	for _, k := range slices.SortedFunc(maps.Keys(st.wavy), func(a, b slurKey) int {
		return cmp.Or(strings.Compare(a.voice, b.voice), strings.Compare(a.number, b.number))
	}) {
		if all || bar >= st.wavy[k].bar+waveBars {
			r.loseWave(st, k)
		}
	}
}

// underWave gives a note that stands under a wavy line its trill.
func (n *printedNote) underWave(st *partState) {
	if n.rest || n.grace || n.chord {
		return
	}
	var over *wave // of several lines the one with the lowest number
	number := ""
	for k, w := range st.wavy {
		if k.voice == n.voice && w.first.staff == n.staff && w.first.sign != nil && (over == nil || k.number < number) {
			over, number = w, k.number
		}
	}
	if over != nil {
		s := *over.first.sign
		s.carrier, s.continued = n, true
		n.sign = &s
		over.under = append(over.under, n)
	}
}

// beside is the step so many steps above or, negative, below a printed pitch.
func beside(pe *etree.Element, by int) (step string, octave int) {
	const order = "CDEFGAB"
	i := strings.Index(order, strings.ToUpper(text(pe, "step"))) + by
	octave = integer(text(pe, "octave"), 4)
	if i < 0 {
		i, octave = i+7, octave-1
	} else if i > 6 {
		i, octave = i-7, octave+1
	}
	return order[i : i+1], octave
}

// neighbour is the key a step above (1) or below (-1) a note, or a third below (-2).
func (n *printedNote) neighbour(s *sign, by int) int {
	step, octave := beside(child(n.el, "pitch"), by)
	alter, ok := n.measure.accidental(n.staff, step, octave, n.at)
	if !ok {
		alter = signature(n.fifths, step)
	}
	mark, most := s.upper, 4
	switch by {
	case -1:
		mark = s.lower
	case -2:
		mark, most = nil, 10
	}
	if mark != nil {
		alter = *mark
	}
	key := 12*(octave+1) + steps[step] + alter + n.transpose
	switch {
	case by == -2:
	case mark == nil && s.step == "half":
		key = n.key + by
	case mark == nil && s.step == "whole":
		key = n.key + 2*by
	}
	if d := (key - n.key) * by; d < 1 || d > most || key < 0 || key > 127 {
		key = min(max(n.key+2*by, 0), 127)
	}
	return key
}

// place of an accidental within a bar.
type accidentalKey struct {
	staff, octave int
	step          string
}

type accidentalAt struct {
	at    score.Tick
	alter int
}

// accidental is the alteration that holds at a place because of an accidental before it in
// the bar; ok is false where there is none.
func (m *measure) accidental(staff int, step string, octave int, at score.Tick) (alter int, ok bool) {
	if m.altered == nil {
		m.altered = map[accidentalKey][]accidentalAt{}
		for _, n := range m.notes {
			if pe := child(n.el, "pitch"); pe != nil && child(n.el, "accidental") != nil {
				v, _ := number(text(pe, "alter"))
				k := accidentalKey{n.staff, integer(text(pe, "octave"), 4), strings.ToUpper(text(pe, "step"))}
				m.altered[k] = append(m.altered[k], accidentalAt{n.at, int(v)})
			}
		}
		for _, l := range m.altered {
			slices.SortStableFunc(l, func(a, b accidentalAt) int { return int(a.at - b.at) })
		}
	}
	l := m.altered[accidentalKey{staff, octave, step}]
	i := sort.Search(len(l), func(i int) bool { return l[i].at > at }) - 1
	if i < 0 {
		return 0, false
	}
	return l[i].alter, true
}

// chords are the notes of a bar that stand on one stem.
func (m *measure) chords() (out [][]*printedNote) {
	for i := 0; i < len(m.notes); {
		j := i + 1
		for j < len(m.notes) && m.notes[j].chord {
			j++
		}
		out = append(out, m.notes[i:j])
		i = j
	}
	return out
}

// aim hands the sign over a chord to the note that is meant: the highest, under it the lowest.
func aim(chord []*printedNote) {
	var from *printedNote
	for _, n := range chord {
		if n.sign == nil {
			continue
		}
		if from != nil || n.sign.kind != "" {
			return // each has its own, or all are meant
		}
		from = n
	}
	if from == nil || len(chord) < 2 || from.grace {
		return
	}
	s := from.sign
	from.sign = nil
	top := slices.MaxFunc(chord, func(a, b *printedNote) int { return a.key - b.key })
	if s.below {
		top = slices.MinFunc(chord, func(a, b *printedNote) int { return a.key - b.key })
	}
	top.sign = s
}
