package sound

import (
	"math"
	"math/rand/v2"
)

// bandPass is a resonance of the second order with a gain of 1 at its peak (from the bilinear transform). White
// noise of variance 1 leaves it with variance b0 (Parseval over the band).
type bandPass struct {
	b0, a1, a2     float64
	x1, x2, y1, y2 float64
}

// newBandPass has its peak at hz, and hz/q between its points of half the power.
func newBandPass(hz, q float64, rate int) bandPass {
	w := 2 * math.Pi * hz / float64(rate)
	alpha := math.Sin(w) / (2 * q)
	return bandPass{b0: alpha / (1 + alpha), a1: -2 * math.Cos(w) / (1 + alpha), a2: (1 - alpha) / (1 + alpha)}
}

// filter replaces x by what the resonance makes of it, after what it was given before. Each sample waits for the one before it, so
// that comes last in the sum, and the past is held in registers.
func (f *bandPass) filter(x []float64) {
	b0, a1, a2 := f.b0, f.a1, f.a2
	x1, x2, y1, y2 := f.x1, f.x2, f.y1, f.y2
	for i, in := range x {
		y := float64(b0*(in-x2)) - float64(a2*y2) - float64(a1*y1)
		x2, x1, y2, y1 = x1, in, y1, y
		x[i] = y
	}
	f.x1, f.x2, f.y1, f.y2 = x1, x2, y1, y2
}

// sixteenBits fills x with noise, even between ±2¹⁵.
func sixteenBits(x []float64, random *rand.PCG) {
	for i := 0; i < len(x); i += 4 {
		u := random.Uint64()
		for k := i; k < min(i+4, len(x)); k++ {
			x[k] = float64(int16(u))
			u >>= 16
		}
	}
}
