package impulse

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// A sinusoid that is whole periods long comes out as the same sinusoid at the higher rate.
func TestUpsampledSinusoids(t *testing.T) {
	const n = 256
	for _, step := range []int{1, 4, 16} {
		for _, periods := range []int{0, 1, 17, int(UpsampleBand * n)} {
			wave := func(i, n int) float64 { return math.Cos(0.3 + 2*math.Pi*float64(periods*i)/float64(n)) }
			x := make([]float64, n)
			for i := range x {
				x[i] = wave(i, n)
			}
			dst := make([]float64, n*step-3)
			Upsample(dst, x, step)
			for i, got := range dst {
				require.InDelta(t, wave(i, n*step), got, 4e-6, "step %d, %d periods, sample %d", step, periods, i)
			}
		}
	}
}
