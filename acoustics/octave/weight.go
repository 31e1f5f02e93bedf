package octave

import "math"

// Weight is the amplitude weight at hz of an octave band whose edges lie half an octave
// from the exact centre, with crossovers width octaves wide. The squares of all bands'
// weights add up to 1; the first band reaches down to 0 Hz and the last up without end, as
// [Index] has them.
func Weight(band int, hz, width float64) float64 {
	if hz <= 0 {
		if band == 0 {
			return 1
		}
		return 0
	}
	x := math.Log2(hz/1000) - float64(band-5)
	w := 1.0
	if band > 0 {
		w *= math.Sin(crossover((x + 0.5) / width))
	}
	if band < N-1 {
		w *= math.Cos(crossover((x - 0.5) / width))
	}
	return w
}

// FlatRange is where Weight of that width is 1, from and to Hz.
func FlatRange(band int, width float64) (from, to float64) {
	from, to = 0, math.Inf(1)
	if band > 0 {
		from = Exact(band) * math.Pow(2, -0.5+width/2+1e-9)
	}
	if band < N-1 {
		to = Exact(band) * math.Pow(2, 0.5-width/2-1e-9)
	}
	return from, to
}

// crossover runs from 0 to π/2 as u runs from -1/2 to 1/2, smooth at both ends.
func crossover(u float64) float64 {
	u = min(1, max(0, u+0.5))
	return math.Pi / 2 * u * u * (3 - 2*u)
}

// Exact is 1000·2^k Hz (IEC 61260-1, base two; 31.25 Hz for the nominal 31.5).
func Exact(band int) float64 { return 1000 * math.Pow(2, float64(band-5)) }
