package convolve

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

// Eight values at a time and one at a time give the same bits.
func TestWideIsTheSame(t *testing.T) {
	if !wide {
		t.Skip("the processor takes four values at a time")
	}
	defer func() { wide = true }()
	r := rand.New(rand.NewPCG(5, 6))
	noise := func(n int) []float64 {
		x := make([]float64, n)
		for i := range x {
			x[i] = r.NormFloat64()
		}
		return x
	}
	own := []Response{{L: noise(3000), R: noise(2500)}, {L: noise(100), R: noise(7)}}
	shared, x, y := Response{L: noise(2000), R: noise(2100)}, noise(4096), noise(4096)
	for _, block := range []int{4, 8, 16, 256, 1024} {
		run := func(w bool) (l, r []float64) {
			wide = w
			c, err := New(own, shared, Options{Block: block, Single: true, Workers: 1})
			require.NoError(t, err)
			l, r = make([]float64, len(x)), make([]float64, len(x))
			for at := 0; at < len(x); at += block {
				require.NoError(t, c.Process(l[at:at+block], r[at:at+block], x[at:at+block], y[at:at+block]))
			}
			return l, r
		}
		l, r := run(true)
		l1, r1 := run(false)
		require.Equal(t, l1, l, "block %d", block)
		require.Equal(t, r1, r, "block %d", block)
	}
}
