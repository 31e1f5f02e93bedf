package sound

import (
	"math"

	"afterchord/voicing"
)

// Pipes that start together draw more wind than the trunk brings at once: the pressure in the chest drops, swings a few times about its
// place, the less the better the concussion bellows are, and is back when the reservoir has followed; as pipes stop it
// swings to the other side. That a division's full chord makes the pressure drop by a few per cent for some tenths of a second, swinging at
// a few hertz, and that low pipes take by far the most, is common practice; the single values are our own.
const (
	sagCents   = 2.5 // how flat the full chord on all its stops pulls a division, but for the swing
	sagBackS   = 0.8 // time constant in which the reservoir follows
	sagHz      = 3.0 // of the swing
	sagDamping = 0.3 // of it, share of the critical
	sagScatter = 0.2 // of the last three from division to division
	sagMost    = 2.5 // full chords at once, beyond which the trunk gives no more
	windPower  = 1.3 // a pipe of fundamental f takes f^-windPower
	// centsOfDB is how many cents the pitch of a flue pipe moves for a decibel of its level as the pressure changes (from memory: 2 to 4
	// cents and 0.4 dB for 5 % of pressure).
	centsOfDB = 7.0
)

// windOf is the wind that a pipe takes, re one of middle C.
func windOf(hz float64) float64 {
	if !(hz > 0) {
		return 0
	}
	return math.Pow(hz/261.6, -windPower)
}

// fullWind is the wind that the full chord of a division takes on all its stops.
func fullWind(o *voicing.Organ, division int) (sum float64) {
	for _, stop := range o.Divisions[division].Stops {
		for _, rank := range stop.Ranks {
			for _, key := range o.FullChordKeys(division) {
				if feet := rank.FeetAt(key); feet > 0 && key >= stop.LowKey && key <= stop.HighKey {
					sum += windOf(o.KeyHz(key) * 8 / feet)
				}
			}
		}
	}
	return sum
}

// sag is how the wind of a division gives way, in steps of breathGrid samples.
type sag struct {
	full       float64   // wind of the full chord
	drawn      float64   // by the pipes that speak
	draws      []float64 // change of it in each step of a block
	begun      bool
	dt         float64 // of a step, s
	back       float64 // 1/s
	hz         float64 // of the swing, rad/s
	damping    float64
	delayed    float64 // samples of delay for each full chord that the reservoir has followed; the pitch is its slope
	reservoir  float64 // full chords that it has followed
	at, moving float64 // the same, after the swing; its speed, 1/s
}

func newSag(o *voicing.Organ, division, rate int) *sag {
	seed := uint64(o.Seed)<<8 + uint64(division)
	about := func(x float64, i int64) float64 { return x * (1 + sagScatter*hash(seed^0x5a6, i)) }
	s := &sag{full: fullWind(o, division), dt: float64(breathGrid) / float64(rate)}
	backS := about(sagBackS, 0)
	s.back, s.hz, s.damping = 1/backS, 2*math.Pi*about(sagHz, 1), about(sagDamping, 2)
	s.delayed = math.Expm1(sagCents/1200*math.Ln2) * backS * float64(rate)
	return s
}

// longest is the longest delay, samples.
func (s *sag) longest() float64 { return 2 * sagMost * s.delayed }

// gather finds when the pipes of a block of n samples, which begins at the absolute sample at, begin and cease to draw wind.
func (s *sag) gather(at int64, n int, lists ...[]voice) {
	steps := n / breathGrid
	s.draws = append(s.draws[:0], make([]float64, steps)...)
	for _, voices := range lists {
		for i := range voices {
			v := &voices[i]
			if on := v.start - at; on >= 0 && on < int64(n) {
				s.draws[min(steps-1, int(on/breathGrid))] += v.sound.draws
			} else if on < 0 && !s.begun {
				s.drawn += v.sound.draws
			}
			if off := v.off - at; off >= 0 && off < int64(n) {
				s.draws[min(steps-1, int(off/breathGrid))] -= v.sound.draws
			}
		}
	}
	if !s.begun { // what is held as an excerpt begins has been held for long
		s.begun = true
		s.reservoir = s.chords()
		s.at = s.reservoir
	}
}

// chords is how many full chords the pipes that speak take.
func (s *sag) chords() float64 {
	if !(s.full > 0) {
		return 0
	}
	return min(sagMost, max(0, s.drawn)/s.full)
}

// rest lets n samples without pipes go by.
func (s *sag) rest(n int) {
	s.drawn = 0
	for range n / breathGrid {
		s.move()
	}
}

// step goes through step i of the block and gives the delay, samples, and the gain at its end.
func (s *sag) step(i int) (delay, gain float64) {
	s.drawn += s.draws[i]
	s.move()
	cents := s.moving * s.delayed * s.dt / breathGrid * 1200 / math.Ln2
	return max(0, s.at) * s.delayed, math.Exp(-cents / centsOfDB * math.Ln10 / 20)
}

func (s *sag) move() {
	s.reservoir += (s.chords() - s.reservoir) * s.back * s.dt
	s.moving += ((s.reservoir-s.at)*s.hz - 2*s.damping*s.moving) * s.hz * s.dt
	s.at += s.moving * s.dt
}
