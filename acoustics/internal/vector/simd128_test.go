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
	const sources, n, least = 21, 5 * Block, 1e-6
	reach := []Reach{{0, 9}, {0, 21}, {4, 4}, {20, 21}, {3, 18}}
	var rows []*float32
	var atRows []uint64
	for range sources {
		row := random(r, n, 1e-12, 1)
		rows, atRows = append(rows, &row[0]), append(atRows, simdtest.Put(l, row))
	}
	var ends []int32
	for _, r := range reach {
		ends = append(ends, r.From, r.To)
	}
	atTable, atReach := simdtest.Put(l, atRows), simdtest.Put(l, ends)
	var in, out [3][]float32
	var atIn, atOut [3]uint64
	for i := range in {
		in[i], out[i] = random(r, sources, 1e-4, 1e12), random(r, n, 1, 2)
		atIn[i], atOut[i] = simdtest.Put(l, in[i]), simdtest.Put(l, out[i])
	}
	spread3Go(out[0], out[1], out[2], in[0], in[1], in[2], rows, reach)
	l.Call("spread3", atOut[0], atOut[1], atOut[2], atIn[0], atIn[1], atIn[2], atTable, atReach, uint64(len(reach)))
	for i, want := range out {
		require.Equal(t, want, simdtest.Get[float32](l, atOut[i], n))
	}
	l.Call("spread", atOut[0], atIn[1], atTable, atReach, uint64(len(reach)))
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
	powerGo(want, x, p.Gain, p.Add, p.Exponent, p.Less)
	require.Equal(t, want, simdtest.Get[float32](l, dst, many))
}
