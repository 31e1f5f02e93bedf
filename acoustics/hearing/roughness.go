package hearing

import "math"

// Roughness is the sensory roughness of components heard together, after Vassilakis,
// "Perceptual and physical properties of amplitude fluctuation and their musical
// significance" (PhD, UCLA 2001), over all pairs:
//
//	(A1·A2)^0.1 · ½·(2·Amin/(A1+A2))^3.11 · (e^(−3.5·s·Δf) − e^(−5.75·s·Δf)),
//	s = 0.24/(0.0207·fmin + 18.96),
//
// with A the pressure amplitude over 20 µPa·√2 (10^(L/20)). The scale is the model's own, without unit:
// compare one spectrum with another. Components below 0 dB are left out as unheard.
func Roughness(components []Component) float64 {
	sum := 0.0
	for i, a := range components {
		for _, b := range components[:i] {
			sum += pairRoughness(a, b)
		}
	}
	return sum
}

// RoughnessBetween is the roughness of the pairs that take one component from each
// list: what an old harmony that still rings adds to a new one.
func RoughnessBetween(a, b []Component) float64 {
	sum := 0.0
	for _, x := range a {
		for _, y := range b {
			sum += pairRoughness(x, y)
		}
	}
	return sum
}

func pairRoughness(a, b Component) float64 {
	if a.LevelDB < 0 || b.LevelDB < 0 {
		return 0
	}
	s := 0.24 / (0.0207*min(a.Hz, b.Hz) + 18.96)
	x := s * math.Abs(a.Hz-b.Hz)
	if x > 6 { // e^−21
		return 0
	}
	// With A1/A2 = 10^(d/20): 2·Amin/(A1+A2) = 2/(1+10^(|d|/20)).
	d := math.Abs(a.LevelDB - b.LevelDB)
	depth := 2 / (1 + math.Pow(10, d/20))
	return math.Pow(10, (a.LevelDB+b.LevelDB)/200) * 0.5 * math.Pow(depth, 3.11) *
		(math.Exp(-3.5*x) - math.Exp(-5.75*x))
}
