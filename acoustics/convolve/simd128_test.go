package convolve

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/simd128/simdtest"
)

// The products for WebAssembly have the bits of those of this machine.
func TestProductsInWebAssembly(t *testing.T) {
	const n = 72
	r := rand.New(rand.NewPCG(9, 10))
	l := simdtest.New(t)
	var values [10][]float32
	var places [10]uint64
	for i := range values {
		values[i] = make([]float32, n)
		for j := range values[i] {
			values[i][j] = r.Float32() - 0.5
		}
		places[i] = simdtest.Put(l, values[i])
	}
	same := func(t *testing.T, changed ...int) {
		t.Helper()
		for _, i := range changed {
			require.Equal(t, values[i], simdtest.Get[float32](l, places[i], n))
		}
	}
	v := &values
	l.Call("multiply", append(places[:], n/8)...)
	multiply(v[0], v[1], v[2], v[3], v[4], v[5], v[6], v[7], v[8], v[9])
	same(t, 0, 1, 2, 3)

	l.Call("weigh", append(places[:6:6], n/8)...)
	for j := range n {
		x, y, c, s := v[2][j], v[3][j], v[4][j], v[5][j]
		v[0][j], v[1][j] = float32(x*c)-float32(y*s), float32(x*s)+float32(y*c)
	}
	same(t, 0, 1)

	l.Call("unweigh", append(places[:5:5], n/8, simdtest.Single(1./64))...)
	for j := range n {
		v[0][j] = (float32(v[2][j]*v[3][j]) - float32(v[1][j]*v[4][j])) * (1. / 64)
	}
	same(t, 0)
}
