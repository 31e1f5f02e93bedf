package octave

import "math"

// Gain is the amplitude response at hz of the octave filter that measurements use: a Butterworth band-pass, the commonest way to
// meet IEC 61260-1, without its phase shift. How steep its flanks are decides what it measures where the decay differs much from
// one band to the next, as in the treble of a large church: it is made from a low-pass of order 4, within class 1 of IEC 61260-1.
func Gain(band int, hz float64) float64 {
	if hz <= 0 {
		return 0
	}
	x := hz / Exact(band)
	u := (x - 1/x) / (math.Sqrt2 - 1/math.Sqrt2)
	u *= u
	u *= u // the fourth power
	return 1 / math.Sqrt(1+u*u)
}

// Reach is how many octaves from the centre the filter's response has fallen to one in ten thousand.
const Reach = 2.4
