package room

import (
	"math"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/weighting"
)

// NoiseDBA is the background noise, dB(A).
func (r *Room) NoiseDBA() float64 {
	sum := 0.0
	for b, hz := range octave.Centres {
		sum += math.Pow(10, r.NoiseDB[b]/10) * weighting.A(hz)
	}
	return 10 * math.Log10(sum)
}
