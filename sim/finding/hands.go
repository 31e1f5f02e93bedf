package finding

import (
	"math"
	"slices"
)

// keyM is the width of a semitone on a manual, m: an octave of keys is 0.165 m (common practice).
const keyM = 0.165 / 12

// handSpan is what a hand covers without moving, semitones: an octave.
const handSpan = 12

// maxHandKeys bounds the keys that the search shares out; more than ten fingers and two
// thumbs on double keys are too many anyway.
const maxHandKeys = 14

// sharings is how many ways of sharing out the keys are kept at each moment.
const sharings = 12

// handed is what the hands hold from one moment to the next.
type handed struct {
	atS   float64
	notes []int32 // all manual notes held, by division and key
	fresh uint32  // bit i: notes[i] begins now
	right uint32  // bit i: the right hand has notes[i]
	// leaps of the two hands to get here, semitones beyond the reach where they stood
	leap  [2]float64
	needS [2]float64
	haveS [2]float64
	moved [2]bool // from another manual
}

// hull is where a hand stood last.
type hull struct {
	division  int // -1 before its first note
	low, high int
	onS, offS float64
}

type sharing struct {
	right uint32
	cost  float64
	back  int
	hands [2]hull
	leap  [2]float64
	needS [2]float64
	haveS [2]float64
	moved [2]bool
}

// handwork shares out the manual notes between two hands with the least trouble, by dynamic
// programming over the moments at which keys go down. On each manual the left hand has a
// lower group and the right hand an upper one.
func (c *Context) handwork() []handed {
	c.handsOnce.Do(func() {
		c.work = c.shareAllOut()
		c.takenBy = c.handsOf(c.work)
	})
	return c.work
}

// handOf says for every manual note which hand takes it: 0 left, 1 right, -1 neither.
func (c *Context) handOf() []int8 {
	c.handwork()
	return c.takenBy
}

func (c *Context) shareAllOut() []handed {
	_, hands := c.limbsOf()
	ms := c.moments(hands)
	var layers [][]sharing
	var held []handed
	prev := []sharing{{back: -1, hands: [2]hull{{division: -1}, {division: -1}}}}
	var active []int32
	for _, m := range ms {
		kept := active[:0]
		for _, i := range active {
			if c.note(i).OffS > m.atS+togetherS+0.06 {
				kept = append(kept, i)
			}
		}
		active = append(kept, m.notes...)
		h := handed{atS: m.atS, notes: c.uniqueKeys(active)}
		for i, n := range h.notes {
			if slices.Contains(m.notes, n) {
				h.fresh |= 1 << i
			}
		}
		layer := c.shareOut(prev, &h, held)
		layers = append(layers, layer)
		held = append(held, h)
		prev = layer
	}
	best := 0
	for i := range prev {
		if prev[i].cost < prev[best].cost {
			best = i
		}
	}
	for l := len(layers) - 1; l >= 0; l-- {
		s := &layers[l][best]
		h := &held[l]
		h.right, h.leap, h.needS, h.haveS, h.moved = s.right, s.leap, s.needS, s.haveS, s.moved
		best = s.back
	}
	return held
}

// uniqueKeys sorts by division and key; of two notes on one key it keeps the later.
func (c *Context) uniqueKeys(notes []int32) []int32 {
	out := slices.Clone(notes)
	slices.SortStableFunc(out, func(a, b int32) int {
		x, y := c.note(a), c.note(b)
		if x.Division != y.Division {
			return x.Division - y.Division
		}
		if x.Key != y.Key {
			return x.Key - y.Key
		}
		return int(b - a)
	})
	out = slices.CompactFunc(out, func(a, b int32) bool {
		return c.note(a).Division == c.note(b).Division && c.note(a).Key == c.note(b).Key
	})
	return out[:min(len(out), maxHandKeys)]
}

// shareOut makes the next layer of the search.
func (c *Context) shareOut(prev []sharing, h *handed, before []handed) []sharing {
	options := c.splits(h)
	out := make([]sharing, 0, len(options))
	for _, o := range options {
		best := sharing{cost: math.Inf(1)}
		for b := range prev {
			s := c.take(&prev[b], h, before, o)
			s.back = b
			if s.cost < best.cost {
				best = s
			}
		}
		out = append(out, best)
	}
	return out
}
