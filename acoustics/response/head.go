package response

import (
	"math"

	"afterchord/acoustics/geometry"
	"afterchord/acoustics/impulse"
)

// HeadRadius is the radius of the sphere that stands for a head, m: the average adult of Brown & Duda 1998, as programs that
// follow it have it.
const HeadRadius = 0.0875

// The head shadow of Brown & Duda, IEEE Trans. Speech Audio Process. 6 (1998) 476: the least gain and the
// angle from the ear, rad, at which it lies. The paper was not at hand; the formula and the two numbers are those of three
// published programs that cite it.
const (
	shadowLeast = 0.1
	shadowAngle = 150 * math.Pi / 180
)

// EarDelay is how much later than the middle of the head a plane wave reaches an ear, s, where
// angle (0..π) lies between the ear's axis and the direction that the wave comes from, and c is the speed
// of sound, m/s: −(a/c)·cos θ on the near side and (a/c)·(θ−π/2) round the far side. The difference of two
// ears is the ray form of Woodworth & Schlosberg (Experimental Psychology, 1938, 1954): (a/c)·(φ + sin φ) at φ to the side.
func EarDelay(angle, c float64) float64 {
	if angle < math.Pi/2 {
		return -HeadRadius / c * math.Cos(angle)
	}
	return HeadRadius / c * (angle - math.Pi/2)
}

// ShadowGain is α(θ), the gain of Brown & Duda's head shadow at high frequencies for angle (0..π) between the
// ear's axis and the direction that the wave comes from: 2 on the axis, least at 150°. The filter is
// (1 + jωα/2ω₀)/(1 + jω/2ω₀) with ω₀ = c/a.
func ShadowGain(angle float64) float64 {
	return 1 + shadowLeast/2 + (1-shadowLeast/2)*math.Cos(angle/shadowAngle*math.Pi)
}

// Head is what the two ears of a sphere that faces the organ hear of a plane wave of amplitude 1 that
// reaches the middle of the head after delayS, at rate (Hz), where the speed of sound is c (m/s); from
// points from the head to the source.
//
// Each ear has [EarDelay] and the head shadow of [ShadowGain]. The mean power of the two is 1 at
// every frequency and from every direction, so that a level means the same with and without a head: the pole
// lies where the root mean square of the two gains puts it. On a rigid sphere, computed exactly, that mean stays within 1.6 dB
// of a diffuse field's; with the pole of the paper it would move by 2.8 dB, dullest from the front. Below 500 Hz the delay is
// that of a small sphere, 3(a/c)·sin φ, within 15 %.
func Head(from geometry.Point, delayS, c float64, rate int) *impulse.Response {
	ears := sphere(c, rate)(from, delayS)
	n := max(0, ears[0].end(), ears[1].end())
	out := &impulse.Response{Rate: rate, L: make([]float64, n), R: make([]float64, n)}
	ears[0].addTo(out.L, 1)
	ears[1].addTo(out.R, 1)
	return out
}

// sphere is a receiver with the ears of a rigid sphere.
func sphere(c float64, rate int) receiver {
	return func(from geometry.Point, delayS float64) [2]wavelet {
		right := 0.0 // cosine of the angle to the right ear's axis
		if d := from.Distance(geometry.Point{}); d > 0 {
			right = from.X / d
		}
		angles := [2]float64{math.Acos(-right), math.Acos(right)}
		l, r := ShadowGain(angles[0]), ShadowGain(angles[1])
		both := math.Sqrt((l*l + r*r) / 2)
		var out [2]wavelet
		for ch, angle := range angles {
			out[ch] = fractional((delayS + EarDelay(angle, c)) * float64(rate))
			out[ch].shelve(ShadowGain(angle), both, float64(rate)*HeadRadius/c)
		}
		return out
	}
}

// sincReach is the half width of the interpolation between samples; with it the response is flat within
// 0.1 dB up to 0.8 of the Nyquist frequency.
const sincReach = 16

// fractional is a click of amplitude 1 at a place between samples.
func fractional(at float64) wavelet {
	first := int(math.Floor(at)) - sincReach + 1
	h := make([]float64, 2*sincReach, 2*sincReach+128)
	for i := range h {
		x := float64(first+i) - at
		if x == 0 {
			h[i] = 1
			continue
		}
		w := math.Cos(math.Pi / 2 * x / sincReach)
		h[i] = math.Sin(math.Pi*x) / (math.Pi * x) * w * w
	}
	return wavelet{first, h}
}

// shelve filters w by (1 + jω·zero·k/2)/(1 + jω·pole·k/2), k in samples, by the bilinear transform,
// and lets it ring down to -120 dB.
func (w *wavelet) shelve(zero, pole, k float64) {
	b0, b1, a1 := (1+zero*k)/(1+pole*k), (1-zero*k)/(1+pole*k), (1-pole*k)/(1+pole*k)
	var x1, y float64
	for i, x := range w.h {
		y = b0*x + b1*x1 - a1*y
		x1 = x
		w.h[i] = y
	}
	y = b1*x1 - a1*y
	for math.Abs(y) > 1e-6 {
		w.h = append(w.h, y)
		y *= -a1
	}
}
