package field

import "math"

// Constants of exp: ln 2 in two parts, the first with so few digits that a whole number up to 1024 times it is exact, and the number that
// rounds what it is added to (and taken from again) to a whole number.
const (
	ln2High  = 6.93147180369123816490e-01
	ln2Low   = 1.90821492927058770002e-10
	roundOff = 3 << 51
	mostExp  = 700
)

// taylor are the coefficients of e^r, from r^0 on; beyond these less than 4e-18 of it is left where |r| ≤ ½·ln 2.
var taylor = func() (c [14]float64) {
	f := 1.0
	for i := range c {
		if i > 0 {
			f *= float64(i)
		}
		c[i] = 1 / f
	}
	return c
}()

// exp is e^y to within 2 units in the last place where |y| ≤ mostExp, and from there on what it is at the end. It takes the steps of the
// vector instructions.
func exp(y float64) float64 {
	y = max(-mostExp, min(mostExp, y))
	t := float64(y*math.Log2E) + roundOff
	n := t - roundOff
	r := y - float64(n*ln2High)
	r -= float64(n * ln2Low)
	p := taylor[len(taylor)-1]
	for i := len(taylor) - 2; i >= 0; i-- {
		p = float64(p*r) + taylor[i]
	}
	return math.Float64frombits(math.Float64bits(p) + math.Float64bits(t)<<52)
}

// decayRows is room for a row per auditory band, and one more where that makes whole vectors.
func decayRows(bands int) [][maxTerms]float64 { return make([][maxTerms]float64, (bands+1)&^1)[:bands] }

// decaysGo fills left, which is made by decayRows as rate is, with e^(−rate·x).
func decaysGo(left, rate [][maxTerms]float64, x float64) {
	for b := range left {
		fallenGo(left[b][:], rate[b][:], x)
	}
}

// fallenGo fills left with e^(−rate·x). Both are planes.
func fallenGo(left, rate []float64, x float64) {
	for i, k := range rate {
		left[i] = exp(-x * k)
	}
}
