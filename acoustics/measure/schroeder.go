package measure

import "math"

// schroeder is the backward integral (per sample) up to cross with the noise taken off, and the energy
// past cross added as an exponential of rate slope.
func schroeder(energy []float64, rate int, noise float64, cross int, slope float64) []float64 {
	cross = max(1, min(cross, len(energy)))
	out := make([]float64, cross)
	var rest float64
	if slope > 0 {
		// The decay's own level at cross from the stretch before it: noise there equals it where they meet.
		level := noise
		if noise == 0 {
			w := max(1, min(cross, int(0.02*float64(rate))))
			for _, e := range energy[cross-w : cross] {
				level += e
			}
			level /= float64(w)
		}
		rest = level * float64(rate) / slope
	}
	for i := cross - 1; i >= 0; i-- {
		rest += energy[i] - noise
		out[i] = rest
	}
	for i := range out { // taking noise off may turn the very end over
		out[i] = max(out[i], 0)
	}
	if out[0] <= 0 {
		out[0] = 1e-300
	}
	return out
}

// thinned is a decay in dB re its start, one value each [DecayStepS].
func thinned(decay []float64, rate int) []float64 {
	var out []float64
	for i := 0; i < len(decay) && decay[i] > 0; i = int(float64(len(out)) * DecayStepS * float64(rate)) {
		out = append(out, 10*math.Log10(decay[i]/decay[0]))
	}
	return out
}

// decayFit is the time for 60 dB (s) by least squares over the decay from `from` to `to`, dB, and the degree of
// non-linearity of that fit, ‰; NaN where the decay does not reach.
func decayFit(decay []float64, rate int, from, to float64) (t, xi float64) {
	hi, lo := decay[0]*math.Pow(10, from/10), decay[0]*math.Pow(10, to/10)
	a := 0
	for a < len(decay) && decay[a] > hi {
		a++
	}
	if from == 0 {
		a = 0
	}
	z := a
	for z < len(decay) && decay[z] > lo {
		z++
	}
	if z == len(decay) || z-a < 3 {
		return math.NaN(), math.NaN()
	}
	db := make([]float64, z-a)
	for i := range db {
		db[i] = 10 * math.Log10(decay[a+i])
	}
	k, _ := line(db)
	return -60 / k / float64(rate), nonLinearity(db)
}

// DecayTime is decayFit's time alone.
func DecayTime(decay []float64, rate int, from, to float64) float64 {
	t, _ := decayFit(decay, rate, from, to)
	return t
}
