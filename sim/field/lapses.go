package field

import "math"

// lapses remembers what was asked for last, since the pipes of a chord ask for the same: what the room's decays leave after
// a time, and how a box stands. What it answers does not depend on what it remembers. One goroutine has it at a time.
type lapses struct {
	h     *Hall
	slots [8]lapse
	boxes []standing          // per division
	room  [maxTerms][]float64 // see shut
	wants []float64           // see voice.wants
	state state               // see spoken
}

// lapse is e^(−kx) of each auditory band's decays.
type lapse struct {
	x    float64
	left [][maxTerms]float64 // nil: never asked for
}

// standing is how a division's box stands at t.
type standing struct {
	known bool
	t     float64
	boxState
}

func (h *Hall) newLapses() *lapses {
	return &lapses{h: h, boxes: make([]standing, len(h.Organ.Divisions))}
}

// borrowed is a lapses of the hall's own, to be given back.
func (h *Hall) borrowed() *lapses {
	if l, ok := h.spare.Get().(*lapses); ok {
		return l
	}
	return h.newLapses()
}

// timeGrain is what times are rounded to, s, so that notes as long as each other are so to the bit: a quarter of a nanosecond, too little to
// be seen in any figure, and far more than the differences of times hours into a piece are wrong by.
const timeGrain = 1.0 / (1 << 32)

func grained(x float64) float64 { return math.RoundToEven(x/timeGrain) * timeGrain }

// slot is one of 1<<bits places for x.
func slot(x float64, bits int) int {
	return int(math.Float64bits(x) * 0x9e3779b97f4a7c15 >> (64 - bits))
}

// after is what the decays leave after x s (rounded to timeGrain), per auditory band; it holds until the next call.
func (l *lapses) after(x float64) [][maxTerms]float64 {
	x = grained(x)
	s := &l.slots[slot(x, 3)]
	if s.left != nil && s.x == x {
		return s.left
	}
	if s.left == nil {
		s.left = decayRows(len(l.h.octaveOf))
	}
	s.x = x
	decays(s.left, l.h.rate, x)
	return s.left
}

// box is [Hall.boxAt].
func (l *lapses) box(d int, t float64) *boxState {
	b := &l.boxes[d]
	if !b.known || b.t != t {
		*b = standing{true, t, l.h.boxAt(d, t)}
	}
	return &b.boxState
}

// ending is a pipe at the moment its pallet shuts.
type ending struct {
	heldS float64             // how long the pallet was open
	power []float64           // what it gives, pW in each band of its voice
	room  [][maxTerms]float64 // what it has put into the room's decays, pW per unit of their gain
}

// endingBits is the logarithm of how many endings a voice remembers.
const endingBits = 2

// ending is the voice's state after its pallet was open for heldS (rounded to timeGrain), longer than its dead time.
func (h *Hall) ending(v *voice, heldS float64, l *lapses) *ending {
	heldS = grained(heldS)
	s := &v.endings[slot(heldS, endingBits)]
	if e := s.Load(); e != nil && e.heldS == heldS {
		return e
	}
	e := &ending{heldS: heldS, power: make([]float64, len(v.bands)), room: make([][maxTerms]float64, len(v.bands))}
	decayed, wants := l.after(heldS), v.wants(heldS-v.dead, l)
	for i, b := range v.bands {
		left := v.speaking(h.terms, i, &decayed[b])
		e.power[i], e.room[i] = v.speech(h.terms, i, wants, &left)
	}
	s.Store(e)
	return e
}
