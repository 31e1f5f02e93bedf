package performance

import (
	"fmt"
	"sort"
	"strings"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// Limits of a low note that is the pedal's though it stands on a staff of the hands.
const (
	lowNoteTop  = 55  // G3: above it the left hand is at home
	lowNoteFrom = 2.0 // crotchets that it is held at least
	lowNoteNext = 0.5 // a neighbour of such a note goes with it where it is held at least this share of its length
)

// lowNotes finds the notes of two-stave organ music that the feet play: the lowest that sounds, held under hands that are
// full, so that two hands cannot hold all and can hold what is left; and those that continue its line. There are none
// where a part is the pedal's already or the user has said who plays.
func lowNotes(s *score.Score, o *voicing.Organ, as []Assignment) map[int]bool {
	pedal := pedalOf(o)
	if pedal < 0 {
		return nil
	}
	for _, a := range as {
		if a.Division == pedal && !a.Silent {
			return nil
		}
	}
	d := &o.Divisions[pedal]
	rest := feetRest(s)
	ours := func(n score.Note) bool { return !as[n.Part].Silent }
	able := func(n score.Note) bool {
		return n.Key <= lowNoteTop && !rest(n.On) && n.Key >= d.LowKey && n.Key <= d.HighKey && as[n.Part].Why != byUser && !strings.HasPrefix(as[n.Part].Why, byName)
	}
	held := score.Tick(lowNoteFrom * float64(s.TicksPerCrotchet))
	moved := map[int]bool{}
	lowest := map[int]bool{} // notes that have been the lowest all the time so far
	sweep(s, ours, func(_ score.Tick, down []int) {
		n := down[0]
		for i, k := range down {
			if _, seen := lowest[k]; !seen || i > 0 {
				lowest[k] = i == 0
			}
		}
		x := s.Notes[n]
		if able(x) && x.Off-x.On >= held && !grasp(s, down, 2) && grasp(s, down[1:], 2) {
			moved[n] = true
		}
	})
	for n := range moved {
		if !lowest[n] {
			delete(moved, n)
		}
	}
	if len(moved) == 0 {
		return nil
	}
	follow(s, moved, func(i int) bool { return lowest[i] && able(s.Notes[i]) })
	return moved
}

// follow adds the notes that continue the line of those moved, before and after, each at most a crotchet away and held
// about as long.
func follow(s *score.Score, moved map[int]bool, able func(i int) bool) {
	near := func(a, b score.Note) bool { // b after a
		gap := b.On - a.Off
		return a.Part == b.Part && gap >= -s.TicksPerCrotchet/12 && gap <= s.TicksPerCrotchet
	}
	long := func(a, b score.Note) bool {
		return float64(a.Off-a.On) >= lowNoteNext*float64(b.Off-b.On) && a.Off-a.On >= s.TicksPerCrotchet
	}
	var line []int
	for i := range s.Notes {
		if moved[i] || able(i) {
			line = append(line, i)
		}
	}
	for k := 1; k < len(line); k++ {
		a, b := line[k-1], line[k]
		if moved[a] && !moved[b] && near(s.Notes[a], s.Notes[b]) && long(s.Notes[b], s.Notes[a]) {
			moved[b] = true
		}
	}
	for k := len(line) - 1; k > 0; k-- {
		a, b := line[k-1], line[k]
		if moved[b] && !moved[a] && near(s.Notes[a], s.Notes[b]) && long(s.Notes[a], s.Notes[b]) {
			moved[a] = true
		}
	}
}

// visits finds the notes of a voice that has gone to another staff of its instrument: they are played where their voice
// is at home. A voice is at home on the staff that has most of its notes; one that sounds on two staves at a time is
// no single voice.
func visits(s *score.Score) map[int]int {
	type voice struct{ track, voice int }
	count := map[voice]map[int]int{}
	for _, n := range s.Notes {
		p := s.Parts[n.Part]
		if p.Staff == 0 || n.Voice == 0 {
			continue
		}
		v := voice{p.Track, n.Voice}
		if count[v] == nil {
			count[v] = map[int]int{}
		}
		count[v][n.Part]++
	}
	home := map[voice]int{}
	for v, parts := range count {
		if len(parts) < 2 {
			continue
		}
		best, all := -1, 0
		for p, n := range parts {
			all += n
			if best < 0 || n > parts[best] || n == parts[best] && p < best {
				best = p
			}
		}
		if 10*parts[best] >= 7*all {
			home[v] = best
		}
	}
	if len(home) == 0 {
		return nil
	}
	out := map[int]int{}
	last := map[voice]score.Note{}
	for i, n := range s.Notes {
		v := voice{s.Parts[n.Part].Track, n.Voice}
		h, ok := home[v]
		if !ok {
			continue
		}
		if p, before := last[v]; before && p.Part != n.Part && p.Off > n.On && n.Voice != 0 { // two voices under one number
			delete(home, v)
			for k, x := range s.Notes[:i] {
				if s.Parts[x.Part].Track == v.track && x.Voice == v.voice {
					delete(out, k)
				}
			}
			continue
		}
		if n.Part != h {
			out[i] = h
		}
		if p, before := last[v]; !before || n.Off >= p.Off {
			last[v] = n
		}
	}
	return out
}

// move says in the reasons of the parts which notes are played elsewhere.
func (h *hands) move(s *score.Score, o *voicing.Organ) {
	h.low, h.home = lowNotes(s, o, h.as), visits(s)
	h.pedal = pedalOf(o)
	count := make([]int, len(h.as))
	for i := range h.low {
		count[s.Notes[i].Part]++
	}
	for p, n := range count {
		if n > 0 {
			a := &h.as[p]
			a.ToPedal = n
			a.Why += fmt.Sprintf("; %d low notes, held under full hands, on the %s (--assign %q keeps them)",
				n, o.Divisions[h.pedal].Name, s.Parts[p].Name+"="+o.Divisions[a.Division].Name)
		}
	}
	for i, p := range h.home {
		if h.as[p].Silent || h.as[s.Notes[i].Part].Why == byUser || h.low[i] {
			delete(h.home, i)
		}
	}
}

// division is the division on which note i is played.
func (h hands) division(i int, n score.Note) int {
	if h.low[i] {
		return h.pedal
	}
	if p, ok := h.home[i]; ok {
		return h.at(p, n.On)
	}
	return h.at(n.Part, n.On)
}

// pedalPassages are the dynamics of the low notes that have gone to the pedal.
func (h hands) pedalPassages(s *score.Score, passages []Passage) []Passage {
	if len(h.low) == 0 {
		return nil
	}
	low := make([][]score.Note, len(h.as)) // of each part, in order
	for i, n := range s.Notes {
		if h.low[i] {
			low[n.Part] = append(low[n.Part], n)
		}
	}
	var out []Passage
	for _, p := range passages {
		from, to := p.To, p.From
		notes := low[p.Part]
		for _, n := range notes[sort.Search(len(notes), func(i int) bool { return notes[i].On >= p.From }):] {
			if n.On >= p.To {
				break
			}
			from, to = min(from, n.On), max(to, n.Off)
		}
		if from < to {
			p.From, p.To, p.Division = from, min(to, p.To), h.pedal
			out = append(out, p)
		}
	}
	return out
}
