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
	l := simdtest.New(t)
	const sources, n, least = 21, testBlocks * Block, 1e-6
	s := testSpreading(r, sources)
	var ends []int32
	for _, r := range s.Reach {
		ends = append(ends, r.From, r.To)
	}
	atWeights, atRows, atReach, blocks := simdtest.Put(l, s.Weights), simdtest.Put(l, s.rows), simdtest.Put(l, ends), uint64(len(s.Reach))
	var in, out [3][]float32
	var atIn, atOut [3]uint64
	for i := range in {
		in[i], out[i] = random(r, sources, 1e-4, 1e12), random(r, n, 1, 2)
		atIn[i], atOut[i] = simdtest.Put(l, in[i]), simdtest.Put(l, out[i])
	}
	s.fill3Go(out[0], out[1], out[2], in[0], in[1], in[2])
	l.Call("fill3", atOut[0], atOut[1], atOut[2], atIn[0], atIn[1], atIn[2], atWeights, atRows, atReach, blocks)
	for i, want := range out {
		require.Equal(t, want, simdtest.Get[float32](l, atOut[i], n))
	}
	l.Call("fill", atOut[0], atIn[1], atWeights, atRows, atReach, blocks)
	require.Equal(t, out[1], simdtest.Get[float32](l, atOut[0], n))

	var v [8][]float32
	var at [8]uint64
	for i := range v {
		v[i] = random(r, n, 1e-8, 1e8)
		at[i] = simdtest.Put(l, v[i])
	}
	setMaskedGo(v[0], v[1], v[2], v[3], v[4], v[5], v[6], least)
	l.Call("setMasked", at[0], at[1], at[2], at[3], at[4], at[5], at[6], n/Lanes, simdtest.Single(least))
	for i := range 3 {
		require.Equal(t, v[i], simdtest.Get[float32](l, at[i], n))
	}
	partialGo(v[7], v[3], v[0], v[4], v[1], v[5], v[2], v[6], least)
	l.Call("partial", at[7], at[3], at[0], at[4], at[1], at[5], at[2], at[6], n/Lanes, simdtest.Single(least))
	require.Equal(t, v[7], simdtest.Get[float32](l, at[7], n))
	require.Equal(t, simdtest.Single(mostGo(v[4])), l.Call("most", at[4], n/Lanes)[0])

	for _, taps := range []int{1, 5, 9} {
		in, weights, want := random(r, n+taps-1, 1e-4, 1e12), random(r, n*taps, 1e-9, 1), make([]float32, n)
		dst := simdtest.Put(l, want)
		l.Call("around", dst, simdtest.Put(l, in), simdtest.Put(l, weights), n/Lanes, uint64(taps))
		aroundGo(want, in, weights, taps)
		require.Equal(t, want, simdtest.Get[float32](l, dst, n), "%d taps", taps)
	}

	const many = 1 << 14
	p := &Powers{random(r, many, 1e-3, 1), random(r, many, 3, 9), random(r, many, 0.1, 1), random(r, many, 1, 2)}
	x, want := random(r, many, 1e-9, 1e14), make([]float32, many)
	dst := simdtest.Put(l, want)
	l.Call("power", dst, simdtest.Put(l, x), simdtest.Put(l, p.Gain), simdtest.Put(l, p.Add), simdtest.Put(l, p.Exponent), simdtest.Put(l, p.Less), many/Lanes)
	powerGo(want, x, p)
	require.Equal(t, want, simdtest.Get[float32](l, dst, many))
}
