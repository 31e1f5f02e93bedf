package octave

import "math"

// AnalysisCrossover is the width of the octave filter's flanks, octaves; all lie within class 1 of IEC
// 61260-1. In the bass the flanks are wider, so that the filter itself rings less; above, narrower, so that a slower
// neighbour lengthens the decay less.
func AnalysisCrossover(band int) float64 {
	switch {
	case band < 3:
		return 0.5
	case band < 6:
		return 0.25
	}
	return 0.125
}

// Gain is the amplitude response at hz of the zero-phase octave filter that [measure.Channel] uses.
func Gain(band int, hz float64) float64 {
	if hz <= 0 {
		return 0
	}
	x := math.Log2(hz/1000) - float64(band-5)
	w := AnalysisCrossover(band)
	if math.Abs(x) <= 0.5-w/2 {
		return 1
	}
	return math.Sin(crossover((x+0.5)/w)) * math.Cos(crossover((x-0.5)/w))
}
