package impulse

import (
	"math"

	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/octave"
)

// MeanPower is the mean of |H|² over each octave band of the spectrum of an n-point
// transform at rate: the gain of a steady source with a broad spectrum.
func MeanPower(spectrum []complex128, n, rate int) octave.Bands {
	var sum, count octave.Bands
	edge := func(band int) int { // the first coefficient of the band
		return max(1, int(math.Ceil(octave.Exact(band)/math.Sqrt2*float64(n)/float64(rate))))
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

// BandPower is the mean of |H|² per octave band over both channels.
func BandPower(resp *Response) octave.Bands {
	n := fft.Length(len(resp.L))
	transform := fft.NewReal(n)
	buf := make([]float64, n)
	var out octave.Bands
	for _, x := range [][]float64{resp.L, resp.R} {
		clear(buf)
		copy(buf, x)
		m := MeanPower(transform.Coefficients(nil, buf), n, resp.Rate)
		for b := range out {
			out[b] += m[b] / 2
		}
	}
	return out
}
