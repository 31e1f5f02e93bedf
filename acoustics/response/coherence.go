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

const (
	sphereStep = 0.02 // of ka in the table
	sphereTop  = 20.0 // ka above which the ears are independent
)

// sphereTable is sphereCoherence at every sphereStep of ka.
var sphereTable = sync.OnceValue(func() []float64 {
	out := make([]float64, int(sphereTop/sphereStep)+2)
	for i := range out {
		out[i] = sphereCoherence(float64(i) * sphereStep)
	}
	return out
})

// coherenceAt is that of the two channels of a tail at hz, a real number from -1 to 1.
type coherenceAt func(hz float64) float64

// betweenEars is the coherence at the two ears of a sphere where the speed of sound is c, m/s.
func betweenEars(c float64) coherenceAt {
	table := sphereTable()
	return func(hz float64) float64 {
		x := 2 * math.Pi * hz / c * HeadRadius / sphereStep
		if x >= sphereTop/sphereStep {
			return 0
		}
		i := int(x)
		return table[i] + (x-float64(i))*(table[i+1]-table[i])
	}
}

// betweenPair is the coherence of the stereo pair in a diffuse field where the speed of sound is c, m/s.
//
// The mean over all directions u of (1+u·a)(1+u·b)·cos(kd·u.x)/4, where a and b are the axes of the two cardioids and
// x is the line between them, over the mean of (1+u·a)²/4, which is 1/3: with z = kd and the spherical Bessel functions j₀ and j₁,
// the means of cos(z·u.x), of u.x²·cos(z·u.x) and of u.y²·cos(z·u.x) are j₀, X = j₀ − 2j₁/z and (j₀ − X)/2. It is 0.66 at low
// frequencies.
func betweenPair(c float64) coherenceAt {
	along, across := math.Cos(pairAngle)*math.Cos(pairAngle), math.Sin(pairAngle)*math.Sin(pairAngle)
	return func(hz float64) float64 {
		z := 2 * math.Pi * hz / c * pairSpacing
		j0, j1 := 1.0, 1./3 // j1 is j₁/z
		if z > 1e-3 {
			sin, cos := math.Sincos(z)
			j0 = sin / z
			j1 = (j0 - cos) / (z * z)
		}
		x := j0 - 2*j1
		return 0.75 * (j0 + along*(j0-x)/2 - across*x)
	}
}
