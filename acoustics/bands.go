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

// flatBand is where bandWeight of that width is 1, from and to Hz.
func flatBand(band int, width float64) (from, to float64) {
	from, to = 0, math.Inf(1)
	if band > 0 {
		from = exactCentre(band) * math.Pow(2, -0.5+width/2+1e-9)
	}
	if band < octave.N-1 {
		to = exactCentre(band) * math.Pow(2, 0.5-width/2-1e-9)
	}
	return from, to
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
	edge := func(band int) int { // the first coefficient of the band
		return max(1, int(math.Ceil(exactCentre(band)/math.Sqrt2*float64(n)/float64(rate))))
	}
	for b := range sum {
		from, to := min(edge(b), len(spectrum)), min(edge(b+1), len(spectrum))
		for _, c := range spectrum[from:to] {
			sum[b] += real(c)*real(c) + imag(c)*imag(c)
		}
		count[b] = float64(to - from)
	}
	for b := range sum {
		if count[b] > 0 {
			sum[b] /= count[b]
		}
	}
	return sum
}
