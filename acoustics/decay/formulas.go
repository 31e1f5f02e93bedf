// Package decay holds the closed forms of a diffuse room: reverberation time from volume and absorption, and back.
package decay

import "math"

// Nepers is the energy decay over one reverberation time: 60 dB = 6·ln 10.
const Nepers = 6 * math.Ln10

// Rate is the rate of the energy decay, 1/s, of a reverberation time in s.
func Rate(rt60 float64) float64 { return Nepers / rt60 }

// Sabine is the reverberation time, s, of volume (m³) with equivalent absorption
// area (m², air included) at speed of sound c (m/s): 24·ln 10/c · V/A (Sabine 1922;
// EN 12354-6:2003, equation 5, has 55.3/c).
func Sabine(volume, area, c float64) float64 { return 4 * Nepers / c * volume / area }

// EquivalentArea is Sabine's relation turned round: the absorption area, m², air
// included, of a room of volume (m³) with rt60 (s).
func EquivalentArea(volume, rt60, c float64) float64 { return 4 * Nepers / c * volume / rt60 }

// Eyring is the reverberation time, s, of volume (m³) with surface (m²) of mean
// absorption coefficient alpha and air attenuation m (1/m):
// 24·ln 10/c · V/(−S·ln(1−α)+4mV) (Eyring, J. Acoust. Soc. Am. 1 (1930) 217).
func Eyring(volume, surface, alpha, m, c float64) float64 {
	return Sabine(volume, -surface*math.Log1p(-alpha)+4*m*volume, c)
}

// EyringAlpha is the mean absorption coefficient that gives rt60 by [Eyring]; it is
// never below 0 (where air alone absorbs more than rt60 allows).
func EyringAlpha(volume, surface, rt60, m, c float64) float64 {
	return -math.Expm1(-max(0, EquivalentArea(volume, rt60, c)-4*m*volume) / surface)
}

// CriticalDistance is where direct and reverberant sound of an omnidirectional source are
// equal, m: sqrt(A/16π), which is 0.057·sqrt(V/T) at 343 m/s.
func CriticalDistance(volume, rt60, c float64) float64 {
	return math.Sqrt(EquivalentArea(volume, rt60, c) / (16 * math.Pi))
}
