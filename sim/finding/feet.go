package finding

import (
	"math"
	"slices"
)

// The pedalboard (common practice): 30 keys from C2 to F4 are about 1.05 m wide, so one
// natural key and its gap are some 0.06 m and an octave is 0.42 m.
const (
	naturalM = 1.05 / 17.5
	// pivotM is how far apart heel and toe of one foot lie on two keys: about a third.
	pivotM = 2.1 * naturalM
	// pivotS is the time to turn from toe to heel without leaving the keys (working figure).
	pivotS = 0.05
	// pressS is the least time a foot or finger stays on a key that is to speak (working figure).
	pressS = 0.05
	// centreM is where the player sits, D3 to E3 on a board from C2.
	centreM = 0.525
)

var naturalsBelow = [12]float64{0, 0.5, 1, 1.5, 2, 3, 3.5, 4, 4.5, 5, 5.5, 6}

// pedalX is where a pedal key lies, m from C2.
func pedalX(key int) float64 {
	k := key - 36
	oct := math.Floor(float64(k) / 12)
	return float64((7*oct + naturalsBelow[((k%12)+12)%12]) * naturalM) // rounded, as every product below: no processor fuses it with a sum
}

// sharp reports whether a key is one of the raised ones.
func sharp(key int) bool {
	switch ((key % 12) + 12) % 12 {
	case 1, 3, 6, 8, 10:
		return true
	}
	return false
}

type foot int

const (
	left foot = iota
	right
	either foot = -1
)

func (f foot) String() string { return [...]string{"left foot", "right foot"}[f] }

// tread is one pedal note as a foot takes it.
type tread struct {
	note    int32
	foot    foot
	heel    bool
	fromKey int     // key the foot comes from; -1 where it is free to wait on the key
	leapM   float64 // how far it comes
	needS   float64 // time it needs for that
	haveS   float64 // time it has from its last note, that note's shortest length taken off
	gapS    float64 // silence written between its last note and this one
	busy    bool    // it should still be holding its last note
	crossed bool    // it stands on the far side of the other foot, which is holding
}

// stand is where a foot was last.
type stand struct {
	key       int // -1 before its first note
	heel      bool
	onS, offS float64
}

// stance is a state of the search: both feet, what it cost to get there, and how.
type stance struct {
	feet   [2]stand
	cost   float64
	back   int
	treads [2]tread
	n      int
}

// stances is how many states are kept at each onset. Two feet, heel and toe, on the last
// few keys give a dozen that matter.
const stances = 12

// walker is one search.
type walker struct {
	c           *Context
	lift, carry float64  // pedal_leap_s, pedal_leap_s_per_m
	next        []stance // scratch
}

// footwork finds the feet that play pedal moments with the least trouble, by dynamic
// programming over where both feet stand. only limits it to one foot. Of three
// keys and more at once it takes the outer two.
func (c *Context) footwork(ms []moment, only foot) []tread {
	w := walker{c: c, lift: c.Thresholds.PedalLeapS, carry: c.Thresholds.PedalLeapSPerM}
	layers := make([][]stance, 0, len(ms)+1)
	layers = append(layers, []stance{{feet: [2]stand{{key: -1}, {key: -1}}, back: -1}})
	for _, m := range ms {
		layers = append(layers, w.advance(layers[len(layers)-1], m, only))
	}
	var out []tread
	best := 0
	last := layers[len(layers)-1]
	for i := range last {
		if last[i].cost < last[best].cost {
			best = i
		}
	}
	for l := len(layers) - 1; l > 0; l-- {
		s := &layers[l][best]
		for i := s.n - 1; i >= 0; i-- {
			out = append(out, s.treads[i])
		}
		best = s.back
	}
	slices.Reverse(out)
	return out
}

func (w *walker) advance(from []stance, m moment, only foot) []stance {
	next := w.next[:0]
	add := func(s stance) {
		for i := range next {
			if same(&next[i], &s) {
				if s.cost < next[i].cost {
					next[i] = s
				}
				return
			}
		}
		next = append(next, s)
	}
	low, high := m.notes[0], m.notes[len(m.notes)-1]
	pair := w.c.note(low).Key != w.c.note(high).Key
	for b := range from {
		for _, heelA := range [2]bool{false, true} {
			if pair && only == either {
				for _, heelB := range [2]bool{false, true} {
					s := from[b]
					s.back, s.n = b, 0
					if w.place(&s, low, left, heelA) && w.place(&s, high, right, heelB) {
						w.cross(&s, m.atS)
						add(s)
					}
				}
				continue
			}
			for f := left; f <= right; f++ {
				if only != either && f != only {
					continue
				}
				s := from[b]
				s.back, s.n = b, 0
				if !w.place(&s, low, f, heelA) {
					continue
				}
				if pair { // one foot asked for two keys at once
					s.treads[0].busy = true
					s.cost += 40 + 100
				}
				w.cross(&s, m.atS)
				add(s)
			}
		}
	}
	slices.SortStableFunc(next, func(a, b stance) int {
		switch {
		case a.cost < b.cost:
			return -1
		case a.cost > b.cost:
			return 1
		}
		return 0
	})
	w.next = next
	return slices.Clone(next[:min(len(next), stances)])
}

func same(a, b *stance) bool {
	for f := range a.feet {
		if a.feet[f].key != b.feet[f].key || a.feet[f].heel != b.feet[f].heel || a.feet[f].offS != b.feet[f].offS {
			return false
		}
	}
	return true
}

// place puts a foot on a note and counts what it costs; false for a heel on a sharp.
func (w *walker) place(s *stance, note int32, f foot, heel bool) bool {
	n := w.c.note(note)
	if heel && sharp(n.Key) {
		return false
	}
	at := &s.feet[f]
	x := pedalX(n.Key)
	t := tread{note: note, foot: f, heel: heel, fromKey: at.key, gapS: math.Inf(1), haveS: math.Inf(1)}
	if at.key >= 0 {
		t.leapM = math.Abs(x - pedalX(at.key))
		t.gapS = n.OnS - at.offS
		t.haveS = n.OnS - at.onS - pressS
		switch {
		case at.key == n.Key:
		case at.heel != heel && t.leapM <= pivotM:
			t.needS = pivotS
			s.cost += 0.2
		default:
			t.needS = w.lift + float64(w.carry*t.leapM)
			s.cost += 0.4 + t.leapM
		}
		switch {
		case at.key != n.Key && t.gapS < -0.06 && t.needS > pivotS:
			t.busy = true
			s.cost += 40 + float64(100*min(2, -t.gapS))
		case t.haveS < t.needS:
			s.cost += 10 + 20*(t.needS-t.haveS)/t.needS
		case t.gapS < t.needS:
			s.cost += 1
		}
	}
	if heel {
		s.cost += 0.3
	}
	if f == left {
		s.cost += float64(4 * max(0, x-centreM-0.12))
	} else {
		s.cost += float64(4 * max(0, centreM-0.12-x))
	}
	if !t.busy { // else it stays on what it should be holding
		*at = stand{n.Key, heel, n.OnS, n.OffS}
	}
	s.treads[s.n] = t
	s.n++
	return true
}

// cross counts feet that stand crossed. Alternating toes pass each other by a step; more
// than that costs balance.
func (w *walker) cross(s *stance, t float64) {
	l, r := &s.feet[left], &s.feet[right]
	if l.key < 0 || r.key < 0 {
		return
	}
	over := pedalX(l.key) - pedalX(r.key)
	if over <= 0 {
		return
	}
	since := t - min(l.offS, r.offS)
	switch {
	case since < 0:
		s.cost += 1 + float64(30*max(0, over-0.1))
		if over > 4*naturalM {
			for i := range s.treads[:s.n] {
				s.treads[i].crossed = true
			}
		}
	case since < 0.3:
		s.cost += 0.5 + float64(6*over)
	}
}
