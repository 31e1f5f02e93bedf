package musicxml

import (
	"cmp"
	"math"
	"slices"

	"afterchord/sim/score"

	"github.com/beevik/etree"
)

// tone is a played note of an ornament, from the start of its bar.
type tone struct {
	from, to score.Tick // to is where the next one begins
	key      int
}

// bundle is what belongs together on the page: the notes played for one ornament.
type bundle struct {
	rigid   bool // of several printed notes: changed together or written out
	strikes bool // each begins anew, tied or not
}

// mostTones bounds the notes played for one printed note.
const mostTones = 1000

// embellish lays out what is played for the ornaments of all bars, and rolls chords. It stops where there
// are more notes than unfolding takes, which says so.
func (r *reader) embellish() {
	total := 0
	for _, p := range r.src.parts {
		trilled := map[tieKey]trillEnd{}
		for _, m := range p.measures {
			start := r.src.page.starts[m.index]
			chords := m.chords()
			for i, c := range chords {
				aim(c)
				for _, n := range c {
					n.goOn(trilled, start)
				}
				r.roll(m, chords, i)
			}
			for i, c := range chords {
				if s := tremoloOf(c); s != nil {
					r.tremolo(m, chords, i, s)
					continue
				}
				for _, n := range c {
					if n.sign != nil && !n.rest && !n.grace {
						r.ornament(p, m, n)
					}
				}
			}
			for _, c := range chords {
				for _, n := range c {
					total += len(n.tones)
				}
			}
			if total > maxEvents {
				return
			}
		}
	}
}

// trillEnd is where a trilled note is tied on.
type trillEnd struct {
	at   score.Tick
	sign *sign
}

// goOn carries a trill through a tie.
func (n *printedNote) goOn(trilled map[tieKey]trillEnd, start score.Tick) {
	if n.rest || n.grace {
		return
	}
	k := tieKey{n.staff, n.key}
	if t, ok := trilled[k]; ok && n.tieStop && t.at == start+n.at && (n.sign == nil || n.sign.continued) {
		s := *t.sign
		s.carrier, s.continued = n, true
		if n.sign != nil {
			s.carrier = n.sign.carrier
		}
		n.sign = &s
	}
	delete(trilled, k)
	if n.sign != nil && n.sign.trill() && n.tieStart {
		trilled[k] = trillEnd{start + n.at + n.length, n.sign}
	}
}

func (s *sign) trill() bool { return s.row.Notes == "um…" }

// parts are the equal parts of a crotchet that the notes of an ornament may have.
var parts = []float64{1, 2, 3, 4, 6, 8, 12, 16, 24, 32}

// subdivide is the part of a crotchet, in ticks, that comes nearest to a number of notes a second.
func (r *reader) subdivide(crotchets, rate float64) float64 {
	want := rate * 60 / crotchets
	best := slices.MinFunc(parts, func(a, b float64) int {
		return cmp.Compare(math.Abs(math.Log(a/want)), math.Abs(math.Log(b/want)))
	})
	return float64(r.tpq) / best
}

// ornament plays the sign over a note.
func (r *reader) ornament(p *part, m *measure, n *printedNote) {
	s := n.sign
	speed := r.src.speeds.at(r.src.page.starts[m.index] + n.on())
	unit := r.subdivide(speed, s.row.Rate)
	shortest := shortestTone * speed / 60 * float64(r.tpq)
	length := float64(n.off() - n.on())
	keys := map[rune]int{'m': n.key, 'u': n.neighbour(s, 1), 'l': n.neighbour(s, -1), 's': n.neighbour(s, -2)}
	var pattern []rune
	var tail int // notes at the end, after a long one
	switch {
	case s.trill():
		pattern, unit = s.trillPattern(n, length, unit, shortest)
	case []rune(s.row.Notes)[1] == '…':
		pattern = []rune(s.row.Notes)
		pattern = append(pattern[:1], pattern[2:]...)
		tail = len(pattern) - 1
	default:
		pattern = []rune(s.row.Notes)
		if s.long {
			pattern = slices.Concat(pattern[:2], pattern)
		}
	}
	if k := len(pattern); !s.trill() && k > 1 { // at least as long for the note itself as for the rest
		for unit > length/2/float64(k-1) && unit/2 >= shortest {
			unit /= 2
		}
		if unit > length/float64(k) {
			unit = length / float64(k)
		}
	}
	if len(pattern) < 2 || unit < shortest*0.999 {
		r.remark(m.index, n.at, p.first+n.staff, "the note is too short for its %s: played plain", s.row.Element)
		return
	}
	at := func(i int) score.Tick {
		if i < len(pattern)-tail || tail == 0 {
			return n.on() + score.Tick(math.Round(float64(i)*unit))
		}
		return n.off() - score.Tick(math.Round(float64(len(pattern)-i)*unit))
	}
	for i, k := range pattern {
		t := tone{at(i), n.end(), keys[k]}
		if i+1 < len(pattern) {
			t.to = at(i + 1)
		}
		n.tones = append(n.tones, t)
	}
	n.bundle = &bundle{}
}

// trillPattern is the notes of a trill and the length of each; a note that is tied on ends
// with itself.
func (s *sign) trillPattern(n *printedNote, length, unit, shortest float64) ([]rune, float64) {
	first, second := 'u', 'm'
	if s.continued && n.tieStop || s.start == "main" {
		first, second = 'm', 'u'
	}
	odd := 0 // from the note itself an odd number leads back to it
	if first == 'm' {
		odd = 1
	}
	count := min(int(length/unit+1e-6), mostTones)
	if count%2 != odd {
		count--
	}
	if least := 2 + odd; count < least {
		if float64(least)*shortest > length {
			return nil, unit
		}
		count, unit = least, length/float64(least)
	} else if float64(count+2)*unit < length+1e-6 { // bounded: the rest is held
		unit = length / float64(count)
	}
	out := make([]rune, count)
	for i := range out {
		out[i] = first
		if i%2 == 1 {
			out[i] = second
		}
	}
	if s.start == "below" && out[0] == 'u' {
		out[0] = 'l'
	}
	if s.turn && !n.tieStart && count >= 4 {
		out[count-2] = 'l'
	}
	return out, unit
}

// roll spreads a chord under arpeggiate, from its lowest note or, where the arrow says so,
// its highest. A roll that goes through several staves has one number in all of them.
func (r *reader) roll(m *measure, chords [][]*printedNote, i int) {
	arp := arpeggio(chords[i])
	if arp == nil || chords[i][0].rest || chords[i][0].grace || chords[i][0].rolled {
		return
	}
	notes := slices.Clone(chords[i])
	if number := arp.SelectAttr("number"); number != nil {
		for _, c := range chords[i+1 : min(i+maxOpen, len(chords))] {
			if a := arpeggio(c); a != nil && c[0].at == notes[0].at && a.SelectAttrValue("number", "") == number.Value && !c[0].grace {
				notes = append(notes, c...)
			}
		}
	}
	slices.SortStableFunc(notes, func(a, b *printedNote) int { return a.key - b.key })
	if arp.SelectAttrValue("direction", "up") == "down" {
		slices.Reverse(notes)
	}
	if len(notes) < 2 {
		return
	}
	speed := r.src.speeds.at(r.src.page.starts[m.index] + notes[0].on())
	step := r.subdivide(speed, rollRate)
	shortest := slices.MinFunc(notes, func(a, b *printedNote) int { return int(a.length - b.length) })
	step = min(step, rollShare*float64(shortest.length-shortest.shift-shortest.cut)/float64(len(notes)-1))
	for i, n := range notes {
		n.rolled = true
		n.roll = score.Tick(math.Round(float64(i) * step))
		n.shift += n.roll
	}
	m.sorted = nil
}

// arpeggio is the arpeggiate over a chord, nil where there is none.
func arpeggio(chord []*printedNote) *etree.Element {
	for _, n := range chord {
		for _, ns := range elements(n.el, "notations") {
			if a := child(ns, "arpeggiate"); a != nil {
				return a
			}
		}
	}
	return nil
}
