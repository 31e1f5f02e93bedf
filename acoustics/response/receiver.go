package response

import (
	"math"

	"afterchord/acoustics/geometry"
)

// wavelet is what one channel hears of a click: h, the first of it at sample first.
type wavelet struct {
	first int
	h     []float64
}

// end is the sample after the last.
func (w wavelet) end() int { return w.first + len(w.h) }

// addTo adds the wavelet times gain to x, as far as it falls within.
func (w wavelet) addTo(x []float64, gain float64) {
	for i, v := range w.h {
		if at := w.first + i; at >= 0 && at < len(x) {
			x[at] += v * gain
		}
	}
}

// receiver is what hears at the seat: it turns a click of amplitude 1 that arrives after delayS, from the
// direction of from (m, re the seat), into the left and the right channel. The mean power of the two is 1.
type receiver func(from geometry.Point, delayS float64) [2]wavelet

// The stereo pair: two cardioids 17 cm apart, turned 55° out, facing the organ.
const (
	pairSpacing = 0.17
	pairAngle   = 55 * math.Pi / 180
)

// stereoPair is a receiver for loudspeakers.
func stereoPair(c float64, rate int) receiver {
	return func(from geometry.Point, delayS float64) [2]wavelet {
		l, r, ld, rd := pair(math.Atan2(from.X, -from.Y), c)
		at := func(delay float64) int { return int(math.Round((delayS + delay) * float64(rate))) }
		return [2]wavelet{{at(ld), []float64{l}}, {at(rd), []float64{r}}}
	}
}

// pair is the amplitude and the extra delay (s) of a plane wave from azimuth at the left and the
// right microphone; the mean square of the two amplitudes is 1.
func pair(azimuth, c float64) (left, right, leftDelay, rightDelay float64) {
	left = 0.5 + 0.5*math.Cos(azimuth+pairAngle)
	right = 0.5 + 0.5*math.Cos(azimuth-pairAngle)
	norm := math.Sqrt((left*left + right*right) / 2)
	if norm < 1e-9 {
		return 1, 1, 0, 0
	}
	half := pairSpacing / 2 / c * math.Sin(azimuth)
	return left / norm, right / norm, half, -half
}
