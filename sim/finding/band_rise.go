package finding

import "math"

// AWeight is the A-weighting as a power factor at hz (IEC 61672-1, Annex E, the analytical
// form); it keeps what the ear does not hear in a pipe from deciding how it stands out.
func AWeight(hz float64) float64 {
	f2 := hz * hz
	r := 12194 * 12194 * f2 * f2 /
		((f2 + 20.6*20.6) * math.Sqrt((f2+107.7*107.7)*(f2+737.9*737.9)) * (f2 + 12194*12194))
	return r * r * 1.2589 // +2.00 dB so that 1 kHz is 0 dB
}

// aWeights is AWeight at each auditory band.
func (c *Context) aWeights() []float64 {
	bands := c.Hearing.Bands()
	w := make([]float64, len(bands))
	for i, hz := range bands {
		w[i] = AWeight(hz)
	}
	return w
}

// standOut is how many dB after stands above before in the auditory bands that own excites: the
// mean over those bands within 20 dB of the strongest (A-weighted), weighted by
// their loudness (power to the 0.3, Stevens' law; from memory).
func standOut(before, after, own, weight []float64) float64 {
	top := 0.0
	for b, v := range own {
		top = max(top, v*weight[b])
	}
	sum, total := 0.0, 0.0
	for b, v := range own {
		p := v * weight[b]
		if p < top*0.01 || p <= 0 {
			continue
		}
		w := math.Pow(p, 0.3)
		sum += w * 10 * math.Log10(max(after[b], 1e-12)/max(before[b], 1e-12))
		total += w
	}
	if total == 0 {
		return 0
	}
	return sum / total
}
