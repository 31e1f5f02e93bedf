package convolve

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Inputs with short responses of their own, one of them heard through its own alone and one silent for a while, against one large FFT of
// gonum.org/v1/gonum/dsp/fourier for each.
func TestShortOwnResponsesBesideALongShared(t *testing.T) {
	const block, blocks = longBlock, 4
	own := []Response{{noise(1, 5000), noise(2, 4000)}, {noise(3, 6000), nil}, {noise(4, 100), noise(5, 70)}}
	shared := Response{noise(6, 70000), noise(7, 60000)}
	in := [][]float64{noise(8, blocks*block), noise(9, blocks*block), noise(10, blocks*block)}
	clear(in[1][block : 2*block])
	o := Options{Block: block, Apart: 1}
	require.NotNil(t, newSplit[float64](own, shared, Options{Block: block, Workers: 1}))
	c, err := New(own, shared, o)
	require.NoError(t, err)
	for range 2 { // and again after a reset
		l, r := make([]float64, blocks*block), make([]float64, blocks*block)
		for at := 0; at < len(l); at += block {
			views := [][]float64{in[0][at : at+block], in[1][at : at+block], in[2][at : at+block]}
			if at == block {
				views[1] = nil
			}
			require.NoError(t, c.Process(l[at:at+block], r[at:at+block], views...))
		}
		for ch, got := range [][]float64{l, r} {
			want := make([]float64, blocks*block)
			through := func(x []float64, h Response) {
				if h := [][]float64{h.L, h.R}[ch]; len(h) > 0 {
					add(want, reference(x, h)[:len(want)])
				}
			}
			for i, x := range in {
				through(x, own[i])
				if i < 2 {
					through(x, shared)
				}
			}
			require.Less(t, relative(got, want), 1e-12)
		}
		c.Reset()
	}
}
