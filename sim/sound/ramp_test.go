package sound

import (
	"math"
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

func TestRampOfShortsIsTheSameInVectors(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for n := 1; n < 70; n++ {
		for offset := range 4 {
			dst, src := make([]float32, n+offset), make([]int16, n+offset)
			for i := range dst {
				dst[i], src[i] = r.Float32(), int16(r.Uint32())
			}
			want := append([]float32(nil), dst...)
			g, step := r.Float32()/(1<<15), 1e-7*(r.Float32()-0.5)
			rampShortScalar(want[offset:offset+n/16*16], src[offset:], g, step)
			for i := n / 16 * 16; i < n; i++ {
				want[offset+i] += float32((g + float32(float32(i)*step)) * float32(src[offset+i]))
			}
			rampShorts(dst[offset:], src[offset:], g, step)
			require.Equal(t, want, dst, "%d samples from %d", n, offset)
		}
	}
}

// What rounding to 16 bits adds lies some 90 dB below a sound that fills the range (6.02·16 + 1.76 dB for a sine, common practice).
func TestShorts(t *testing.T) {
	x, kept := make([]float64, 4800), make([]int16, 4800)
	for i := range x {
		x[i] = 3 * math.Sin(0.1234*float64(i))
	}
	unit := unitFor(largest(x))
	shorts(kept, x, unit)
	wrong, power := 0.0, 0.0
	for i, v := range x {
		d := float64(kept[i])*unit - v
		require.LessOrEqual(t, math.Abs(d), 0.5001*unit)
		wrong, power = wrong+d*d, power+v*v
	}
	require.InDelta(t, -98, 10*math.Log10(wrong/power), 1)
	shorts(kept, make([]float64, 4800), unitFor(0)) // silence
	require.Equal(t, make([]int16, 4800), kept)
}

func BenchmarkRampShorts(b *testing.B) {
	dst, src := make([]float32, 256), make([]int16, 256)
	for b.Loop() {
		rampShorts(dst, src, 0.5, 1e-5)
	}
}

func BenchmarkRamp(b *testing.B) {
	dst, src := make([]float32, 256), make([]float32, 256)
	for b.Loop() {
		ramp(dst, src, 0.5, 1e-5)
	}
}
