package vector

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/simd128/simdtest"
)

// The vector loops for WebAssembly give the bits of the loops in Go.
func TestSameBitsInWebAssembly(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	const n = 72
	l := simdtest.New(t)
	w, x := random(r, n, 1e-12, 1), random(r, n, 1e-4, 1e12)
	atW, at := simdtest.Put(l, w), simdtest.Put(l, x)
	l.Call("addScaled", at, atW, n/Lanes, simdtest.Single(3.7))
	addScaledGo(x, w, 3.7)
	require.Equal(t, x, simdtest.Get[float32](l, at, n))

	y, z := random(r, n, 1e-4, 1e12), random(r, n, 1e-4, 1e12)
	atY, atZ := simdtest.Put(l, y), simdtest.Put(l, z)
	l.Call("addScaled3", at, atY, atZ, atW, n/Lanes, simdtest.Single(3.7), 0, simdtest.Single(1e5))
	for i, v := range [][]float32{x, y, z} {
		addScaledGo(v, w, []float32{3.7, 0, 1e5}[i])
		require.Equal(t, v, simdtest.Get[float32](l, []uint64{at, atY, atZ}[i], n))
	}

	for _, taps := range []int{1, 5, 9} {
		in, weights, want := random(r, n+taps-1, 1e-4, 1e12), random(r, n*taps, 1e-9, 1), make([]float32, n)
		dst := simdtest.Put(l, want)
		l.Call("around", dst, simdtest.Put(l, in), simdtest.Put(l, weights), n/Lanes, uint64(taps))
		aroundGo(want, in, weights, taps)
		require.Equal(t, want, simdtest.Get[float32](l, dst, n), "%d taps", taps)
	}

	const many = 1 << 14
	p := &Powers{random(r, many, 1e-3, 1), random(r, many, 3, 9), random(r, many, 0.1, 1), random(r, many, 1, 2)}
	in, want := random(r, many, 1e-9, 1e14), make([]float32, many)
	dst := simdtest.Put(l, want)
	l.Call("power", dst, simdtest.Put(l, in), simdtest.Put(l, p.Gain), simdtest.Put(l, p.Add), simdtest.Put(l, p.Exponent), simdtest.Put(l, p.Less), many/Lanes)
	powerGo(want, in, p.Gain, p.Add, p.Exponent, p.Less)
	require.Equal(t, want, simdtest.Get[float32](l, dst, many))
}
