package sound

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Against math.Sin over a loop of the greatest length, at the frequencies where a recurrence of eight samples is at its worst too: near a whole
// number of half periods in eight samples, and near 0.
func TestResonatorsAreSinusoids(t *testing.T) {
	const n = 1 << 17
	for _, w := range []float64{0.002, 0.3, math.Pi / 8, math.Pi/8 + 1e-9, math.Pi/8 - 3e-6, math.Pi/4 + 2e-5, math.Pi/2 + 1e-4, 2.8} {
		for _, r := range []float64{1, 1 - 1e-5} {
			dst := make([]float64, n)
			ring(dst, []resonator{sinusoid(1, 0.7, w, r, n), sinusoid(2, -1, w/3, 1, n-3), sinusoid(1, 0.2, 1, r, 21)})
			for i := 0; i < n; i += 97 {
				want := math.Pow(r, float64(i)) * math.Sin(0.7+w*float64(i))
				if i < n-3 {
					want += 2 * math.Sin(-1+w/3*float64(i))
				}
				if i < 21 {
					want += math.Pow(r, float64(i)) * math.Sin(0.2+float64(i))
				}
				require.InDelta(t, want, dst[i], 2e-7, "w %g, r %g, sample %d", w, r, i)
			}
		}
	}
}
