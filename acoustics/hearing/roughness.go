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
	list, sum := amplitudes(components), 0.0
	for i := range list {
		for j := range i {
			sum += list[i].with(&list[j])
		}
	}
	return sum
}

// rough is a component ready to be paired.
type rough struct {
	hz, scale  float64 // s above, were it the lower of the two
	amp, ampTo float64 // A and A^0.1
}

func amplitudes(components []Component) []rough {
	list := make([]rough, 0, len(components))
	for _, c := range components {
		if c.LevelDB >= 0 {
			list = append(list, rough{c.Hz, 0.24 / (0.0207*c.Hz + 18.96), math.Pow(10, c.LevelDB/20), math.Pow(10, c.LevelDB/200)})
		}
	}
	return list
}

func (a *rough) with(b *rough) float64 {
	x := max(a.scale, b.scale) * math.Abs(a.hz-b.hz)
	if x > 6 || x == 0 { // e^−21
		return 0
	}
	depth := 2 * min(a.amp, b.amp) / (a.amp + b.amp)
	return a.ampTo * b.ampTo * 0.5 * pow(depth, 3.11) * (exp2(-3.5*math.Log2E*x) - exp2(-5.75*math.Log2E*x))
}
