package octave

import (
	"math"
	"testing"
)

// IEC 61260-1:2014, Table 1, class 1 (from memory): the least and greatest relative attenuation, dB, of an
// octave filter at G^x, and beyond.
func TestOctaveFilterClass1(t *testing.T) {
	for _, row := range []struct{ x, least, greatest float64 }{
		{0, -0.4, 0.4}, {1. / 8, -0.4, 0.5}, {1. / 4, -0.4, 0.7}, {3. / 8, -0.4, 1.4},
		{0.5 - 1e-6, -0.4, 5.3}, {0.5 + 1e-6, 1.6, math.Inf(1)}, {1, 16.6, math.Inf(1)},
		{2, 40.5, math.Inf(1)}, {3, 60, math.Inf(1)}, {4, 70, math.Inf(1)},
	} {
		for _, sign := range []float64{-1, 1} {
			for band := range N {
				a := -20 * math.Log10(Gain(band, Exact(band)*math.Pow(2, sign*row.x)))
				if a < row.least || a > row.greatest {
					t.Errorf("band %g Hz at G^%+.3f: %.2f dB outside %g..%g", Centres[band], sign*row.x, a, row.least, row.greatest)
				}
			}
		}
	}
}
