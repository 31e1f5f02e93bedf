package acoustics

import "math"

// decayNepers is the energy decay over one reverberation time: 60 dB = 6·ln 10.
const decayNepers = 6 * math.Ln10

// DecayRate is the rate of the energy decay, 1/s, of a reverberation time in s.
func DecayRate(rt60 float64) float64 { return decayNepers / rt60 }

// Sabine is the reverberation time, s, of volume (m³) with equivalent absorption
// area (m², air included) at speed of sound c (m/s): 24·ln 10/c · V/A (Sabine 1922;
// EN 12354-6:2003, equation 5, has 55.3/c).
func Sabine(volume, area, c float64) float64 { return 4 * decayNepers / c * volume / area }

// EquivalentArea is Sabine's relation turned round: the absorption area, m², air
// included, of a room of volume (m³) with rt60 (s).
func EquivalentArea(volume, rt60, c float64) float64 { return 4 * decayNepers / c * volume / rt60 }

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

// ExponentialC80 is the clarity of a pure exponential decay, dB (definition: ISO 3382-1, A.2.3).
func ExponentialC80(rt60 float64) float64 {
	return 10 * math.Log10(math.Expm1(DecayRate(rt60)*0.08))
}

// ExponentialD50 is the definition of a pure exponential decay (ISO 3382-1, A.2.3), 0..1.
func ExponentialD50(rt60 float64) float64 { return -math.Expm1(-DecayRate(rt60) * 0.05) }

// ExponentialTs is the centre time of a pure exponential decay (ISO 3382-1, A.2.3), s.
func ExponentialTs(rt60 float64) float64 { return 1 / DecayRate(rt60) }

// ModulationTransfer is the depth that a modulation at rate hz keeps in a pure exponential
// decay: 1/sqrt(1+(2πFT/13.8)²) (Houtgast & Steeneken 1985).
func ModulationTransfer(hz, rt60 float64) float64 {
	return 1 / math.Hypot(1, 2*math.Pi*hz/DecayRate(rt60))
}
