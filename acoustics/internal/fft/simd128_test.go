package fft

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/simd128/simdtest"
)

// The stages for WebAssembly give the bits of the loops in Go.
func TestStagesInWebAssembly(t *testing.T) {
	t.Run("single", func(t *testing.T) { stagesInWebAssembly[float32](t, "32") })
	t.Run("double", func(t *testing.T) { stagesInWebAssembly[float64](t, "64") })
}

func stagesInWebAssembly[T Float](t *testing.T, bits string) {
	r := rand.New(rand.NewPCG(7, 8))
	l := simdtest.New(t)
	for _, n := range []int{32, 64, 1024} {
		q, roots := n/4, NewPlan[T](n).tw[0]
		re, im := make([]T, n), make([]T, n)
		for i := range n {
			re[i], im[i] = T(r.Float64()-0.5), T(r.Float64()-0.5)
		}
		for name, row := range map[string]func(r0, r1, r2, r3, i0, i1, i2, i3, tw []T, row int){"down": downRow[T], "up": upRow[T]} {
			atRe, atIm := simdtest.Put(l, re), simdtest.Put(l, im)
			l.Call(name+bits, atRe, atIm, simdtest.Put(l, roots), uint64(q))
			for at := 0; at < q; at += 8 {
				row(re[at:q], re[q+at:2*q], re[2*q+at:3*q], re[3*q+at:], im[at:q], im[q+at:2*q], im[2*q+at:3*q], im[3*q+at:], roots[6*at:], 8)
			}
			require.Equal(t, re, simdtest.Get[T](l, atRe, n), "%s, %d points", name, n)
			require.Equal(t, im, simdtest.Get[T](l, atIm, n), "%s, %d points", name, n)
		}
	}
}
