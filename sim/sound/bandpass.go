package sound

import "math"

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

func (f *bandPass) next(x float64) float64 {
	y := f.b0*(x-f.x2) - f.a1*f.y1 - f.a2*f.y2
	f.x2, f.x1, f.y2, f.y1 = f.x1, x, f.y1, y
	return y
}
