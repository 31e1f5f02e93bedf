package response

import (
	"math"
	"sync"
)

// sphereCoherence is the coherence of the pressures at the two ears of a rigid sphere in a diffuse field, a real
// number from -1 to 1, at ka, the wave number times the radius of the sphere: 1 at low frequencies, 0 about 600 Hz, and near
// 0 above 2 kHz.
//
// By the addition theorem, the plane waves of all directions scattered by a sphere (Morse & Ingard,
// Theoretical Acoustics, 1968, section 8.2, from memory: pressure on the surface ∝ Σ (2n+1) iⁿ Pₙ(cos θ)/hₙ'(ka)) average to
// Σ (2n+1)(−1)ⁿ/|hₙ'(ka)|² over Σ (2n+1)/|hₙ'(ka)|² for opposite points.
func sphereCoherence(ka float64) float64 {
	switch {
	case !(ka >= 1e-3):
		return 1
	case ka > 1e4: // it falls as 1/ka, and the series takes ka terms
		return 0
	}
	// h₋₁ and h₀ of the spherical Hankel function; upward, as |hₙ| only grows.
	sin, cos := math.Sincos(ka)
	before, h := complex(cos/ka, sin/ka), complex(sin/ka, -cos/ka)
	var across, power, sign = 0.0, 0.0, 1.0
	for n := 0; ; n++ {
		slope := before - complex(float64(n+1)/ka, 0)*h
		term := float64(2*n+1) / (real(slope)*real(slope) + imag(slope)*imag(slope))
		across += sign * term
		power += term
		if float64(n) > ka && term < 1e-9*power {
			return across / power
		}
		before, h = h, complex(float64(2*n+1)/ka, 0)*h-before
		sign = -sign
	}
}

// Mixing two independent noises as common·x ± own·y, with common² = (1+γ)/2 and own² = (1−γ)/2, gives each the power of one
// and both the coherence γ.
const (
	earsStep = 0.02 // of ka in the table
	earsTop  = 20.0 // ka above which the ears are independent
)

// earsMix is common and own at every earsStep of ka.
var earsMix = sync.OnceValue(func() [2][]float64 {
	var out [2][]float64
	n := int(earsTop/earsStep) + 2
	for i := range n {
		g := sphereCoherence(float64(i) * earsStep)
		out[0] = append(out[0], math.Sqrt((1+g)/2))
		out[1] = append(out[1], math.Sqrt(max(0, 1-g)/2))
	}
	return out
})

// mixForEars makes two independent tails (left, right) at rate those of two ears in a diffuse field, where the
// speed of sound is c. The power of both together stays what it is at every frequency where the two have the same.
func mixForEars(left, right []tailSpectrum, c float64, rate int) {
	mix := earsMix()
	for g := range left {
		l, r := left[g].coefficients, right[g].coefficients
		step := 2 * math.Pi * float64(rate) / float64(left[g].n) / c * HeadRadius / earsStep
		for k := range l {
			common, own := math.Sqrt2/2, math.Sqrt2/2
			if at := float64(k) * step; at < earsTop/earsStep {
				i := int(at)
				u := at - float64(i)
				common = mix[0][i] + u*(mix[0][i+1]-mix[0][i])
				own = mix[1][i] + u*(mix[1][i+1]-mix[1][i])
			}
			x, y := l[k]*complex(common, 0), r[k]*complex(own, 0)
			l[k], r[k] = x+y, x-y
		}
	}
}
