package sound

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/simd128/simdtest"
)

func TestRampIsTheSameInWebAssembly(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	const n = 64
	dst, src := make([]float32, n), make([]float32, n)
	for i := range dst {
		dst[i], src[i] = r.Float32(), r.Float32()-0.5
	}
	gains, step := [8]float32{1, 2, 3, 4, 5, 6, 7, 8}, float32(0.001)
	l := simdtest.New(t)
	at := simdtest.Put(l, dst)
	l.Call("ramp", at, simdtest.Put(l, src), n/8, simdtest.Put(l, gains[:]), simdtest.Single(step))
	rampScalar(dst, src, &gains, step)
	require.Equal(t, dst, simdtest.Get[float32](l, at, n))

	short := make([]int16, n)
	for i := range short {
		short[i] = int16(r.Uint32())
	}
	at = simdtest.Put(l, dst)
	l.Call("rampShorts", at, simdtest.Put(l, short), n/16, simdtest.Single(0.3), simdtest.Single(step))
	rampShortScalar(dst, short, 0.3, step)
	require.Equal(t, dst, simdtest.Get[float32](l, at, n))
}
