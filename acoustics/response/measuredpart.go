package response

import (
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/room"
)

const measuredEarlyS = 80e-3 // early part of a measured response, s

// measuredPart is the measured response at rate with its onset at delayS: the first 80 ms or what
// follows, with a crossover of 10 ms so that both add up to the whole.
func measuredPart(r *room.Room, delayS float64, rate int, early bool) *impulse.Response {
	start := max(0, int((delayS-0.001)*float64(rate)))
	part := func(x []float64) []float64 {
		y := impulse.Resample(x, r.Measured.Rate, rate)
		// Resample keeps the spectrum of a response; see there.
		edge, fade := int(measuredEarlyS*float64(rate)), rate/100
		if early {
			y = y[:min(len(y), edge+fade)]
		}
		out := make([]float64, start+len(y))
		for i, v := range y {
			u := min(1, max(0, float64(i-edge)/float64(fade)))
			w := u * u * (3 - 2*u)
			if early {
				w = 1 - w
			}
			out[start+i] = v * w
		}
		return out
	}
	return &impulse.Response{Rate: rate, L: part(r.Measured.L), R: part(r.Measured.R)}
}
