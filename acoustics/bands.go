package acoustics

import (
	"math"

	"afterchord/acoustics/octave"
)

// bandWeight is the amplitude weight at hz of an octave band whose edges lie half an octave
// from the exact centre, with crossovers width octaves wide. The squares of all bands'
// weights add up to 1; the first band reaches down to 0 Hz and the last up without end, as
// [octave.Index] has them.
func bandWeight(band int, hz, width float64) float64 {
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
	if band < octave.N-1 {
		w *= math.Cos(crossover((x - 0.5) / width))
	}
	return w
}

// crossover runs from 0 to π/2 as u runs from -1/2 to 1/2, smooth at both ends.
func crossover(u float64) float64 {
	u = min(1, max(0, u+0.5))
	return math.Pi / 2 * u * u * (3 - 2*u)
}

// bandMean is the mean of |H|² over each octave band of the spectrum of an n-point
// transform at rate: the gain of a steady source with a broad spectrum.
func bandMean(spectrum []complex128, n, rate int) octave.Bands {
	var sum, count octave.Bands
	for k := 1; k < len(spectrum); k++ {
		hz := float64(k) * float64(rate) / float64(n)
		if hz < 1000*math.Pow(2, -5.5) {
			continue // below the first band's own octave
		}
		if hz > 1000*math.Pow(2, 3.5) {
			break
		}
		b := octave.Index(hz)
		re, im := real(spectrum[k]), imag(spectrum[k])
		sum[b] += re*re + im*im
		count[b]++
	}
	for b := range sum {
		if count[b] > 0 {
			sum[b] /= count[b]
		}
	}
	return sum
}
