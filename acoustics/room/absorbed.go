package room

import (
	"math"

	"afterchord/acoustics/decay"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/octave"
)

// absorbed is a measured response as it would be with area more absorption, m² per octave band, in a room of volume, m³: the rate of a
// diffuse field's decay is c·A/(4V) (Sabine), so each band is multiplied by the exponential of what is added. The direct sound, at sample
// start, stays as it is. The bands overlap from centre to centre, so that nothing steps between them.
func absorbed(resp *impulse.Response, start int, area octave.Bands, volume, c float64) *impulse.Response {
	out := &impulse.Response{Rate: resp.Rate}
	n := fft.Length(len(resp.L))
	transform := fft.NewReal(n)
	hz := float64(resp.Rate) / float64(n)
	coeff := make([]complex128, n/2+1)
	part := make([]float64, n)
	for i, x := range [][]float64{resp.L, resp.R} {
		y := make([]float64, len(x))
		spectrum := transform.Coefficients(nil, x)
		for b := range octave.N {
			for k, v := range spectrum {
				w := octave.Weight(b, float64(k)*hz, 1)
				coeff[k] = v * complex(w*w/float64(n), 0)
			}
			transform.Sequence(part, coeff)
			rate := c * area[b] / (4 * volume)
			step, g := math.Exp(-rate/2/float64(resp.Rate)), 1.0
			for j := range y {
				y[j] += part[j] * g
				if j >= start {
					g *= step
				}
			}
		}
		*[]*[]float64{&out.L, &out.R}[i] = y
	}
	return out
}

// sooner is t, a reverberation time in s, with area m² more absorption in volume m³.
func sooner(t, area, volume, c float64) float64 {
	return math.Max(0.05, decay.Sabine(volume, decay.EquivalentArea(volume, t, c)+area, c))
}
