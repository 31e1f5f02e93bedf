package sound

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestRampIsTheSameInVectors(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := 0; n < 70; n++ {
		for offset := range 4 { // not aligned
			dst, src := make([]float32, n+offset+3), make([]float32, n+offset+3)
			for i := range dst {
				dst[i], src[i] = r.Float32(), r.Float32()-0.5
			}
			want := append([]float32(nil), dst...)
			g, step := r.Float32(), 0.01*(r.Float32()-0.5)
			var gains [8]float32
			for i := range gains {
				gains[i] = g + float32(float32(i)*step)
			}
			rampScalar(want[offset:offset+n/8*8], src[offset:], &gains, 8*step)
			for i := n / 8 * 8; i < n; i++ {
				want[offset+i] += float32((g + float32(float32(i)*step)) * src[offset+i])
			}
			ramp(dst[offset:offset+n], src[offset:offset+n], g, step)
			require.Equal(t, want, dst, "%d samples from %d", n, offset)
		}
	}
}

func BenchmarkRamp(b *testing.B) {
	dst, src := make([]float32, 256), make([]float32, 256)
	for b.Loop() {
		ramp(dst, src, 0.5, 1e-5)
	}
}
