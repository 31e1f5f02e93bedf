package impulse

import "math"

// Resample changes the rate of x from Hz to Hz with a windowed sinc: Kaiser window, β = 10 (about 100
// dB of stop band), 32 zero crossings each side, cut off at 0.95 of the lower Nyquist
// frequency. The spectrum in the pass band is kept, so an impulse response is scaled by from/to.
func Resample(x []float64, from, to int) []float64 {
	if from == to {
		return append([]float64(nil), x...)
	}
	const crossings, beta, phases = 32, 10.0, 512
	ratio := float64(to) / float64(from)
	cut := 0.95 * min(1, ratio)
	half := crossings / cut
	// The kernel in a table, linearly interpolated.
	size := int(half*phases) + 2
	table := make([]float64, size+1)
	for i := range table {
		table[i] = kaiserSinc(float64(i)/phases, cut, half, beta)
	}
	out := make([]float64, int(math.Ceil(float64(len(x))*ratio)))
	for i := range out {
		at := float64(i) / ratio
		a, z := max(0, int(math.Ceil(at-half))), min(len(x)-1, int(at+half))
		var sum float64
		for j := a; j <= z; j++ {
			p := math.Abs(at-float64(j)) * phases
			k := int(p)
			if k+1 >= len(table) {
				continue
			}
			f := p - float64(k)
			sum += x[j] * (table[k] + f*(table[k+1]-table[k]))
		}
		out[i] = sum / ratio
	}
	return out
}

// kaiserSinc is a sinc at t samples from its middle, cut off at cut of the Nyquist frequency, under a Kaiser window that ends half samples
// away.
func kaiserSinc(t, cut, half, beta float64) float64 {
	u := t / half
	if math.Abs(u) >= 1 {
		return 0
	}
	s := cut
	if t != 0 {
		s = math.Sin(math.Pi*cut*t) / (math.Pi * t)
	}
	return s * bessel0(beta*math.Sqrt(1-u*u)) / bessel0(beta)
}

// bessel0 is the modified Bessel function I0 by its series.
func bessel0(x float64) float64 {
	sum, term := 1.0, 1.0
	for k := 1.0; k < 60; k++ {
		term *= x / 2 / k
		sum += term * term
	}
	return sum
}
