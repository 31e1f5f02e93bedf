package finding

import (
	"cmp"
	"math"
	"slices"

	"afterchord/acoustics/weighting"
)

// aWeights is the A-weighting as a power factor at each auditory band.
func (c *Context) aWeights() []float64 {
	bands := c.Hearing.Bands()
	w := make([]float64, len(bands))
	for i, hz := range bands {
		w[i] = weighting.A(hz)
	}
	return w
}

// standShare is the share of a note's loudness that has to stand out for the note to be heard to
// begin: the ear follows the part of the spectrum where it sees the change best.
const standShare = 0.25

// standOut is how many dB after stands above before in the auditory bands that own excites. Of
// those within 20 dB of the strongest (A-weighted), it is the rise that the best
// standShare of the loudness (power to the 0.3, Stevens' law; from memory) reaches.
func standOut(before, after, own, weight []float64) float64 {
	top := 0.0
	for b, v := range own {
		top = max(top, v*weight[b])
	}
	type band struct{ rise, loudness float64 }
	var bands []band
	total := 0.0
	for b, v := range own {
		p := v * weight[b]
		if p < top*0.01 || p <= 0 {
			continue
		}
		x := band{10 * math.Log10(max(after[b], 1e-12)/max(before[b], 1e-12)), math.Pow(p, 0.3)}
		bands = append(bands, x)
		total += x.loudness
	}
	slices.SortFunc(bands, func(a, b band) int { return cmp.Compare(b.rise, a.rise) })
	have := 0.0
	for _, x := range bands {
		have += x.loudness
		if have >= standShare*total {
			return x.rise
		}
	}
	return 0
}
