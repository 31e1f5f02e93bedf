package vector

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
)

func random(r *rand.Rand, n int, low, high float64) []float32 {
	v := make([]float32, n)
	for i := range v {
		v[i] = float32(low * math.Pow(high/low, r.Float64()))
	}
	return v
}

// The vector instructions give the bits of the loops in Go.
func TestSameBits(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for _, n := range []int{0, 8, 16, 72, 80, 400} {
		both(t, fmt.Sprint(n), func(t *testing.T) {
			w := random(r, n, 1e-12, 1)
			x, y, z := random(r, n+4, 1e-4, 1e12), random(r, n+4, 1e-4, 1e12), random(r, n+4, 1e-4, 1e12)
			wx, wy, wz := append([]float32{}, x...), append([]float32{}, y...), append([]float32{}, z...)
			AddScaled3(x, y, z, 3.7, 0, 1e5, w)
			addScaledGo(wx, w, 3.7)
			addScaledGo(wy, w, 0)
			addScaledGo(wz, w, 1e5)
			AddScaled(x, 0.3, w)
			addScaledGo(wx, w, 0.3)
			require.Equal(t, wx, x)
			require.Equal(t, wy, y)
			require.Equal(t, wz, z)

			for _, taps := range []int{1, 5, 9} {
				got, want := make([]float32, n), make([]float32, n)
				in, weights := random(r, n+taps-1, 1e-4, 1e12), random(r, n*taps, 1e-9, 1)
				Around(got, in, weights, taps)
				aroundGo(want, in, weights, taps)
				require.Equal(t, want, got)
			}

			p := &Powers{random(r, n, 1e-3, 1), random(r, n, 3, 9), random(r, n, 0.1, 1), random(r, n, 1, 2)}
			in, got, want := random(r, n, 1e-9, 1e14), make([]float32, n), make([]float32, n)
			Power(got, in, p)
			powerGo(want, in, p.Gain, p.Add, p.Exponent, p.Less)
			require.Equal(t, want, got)
		})
	}
}

// Power against the standard library, over the exponents and excitations of the ear's laws.
func TestPower(t *testing.T) {
	const n = 1 << 16
	r := rand.New(rand.NewPCG(3, 4))
	p := NewPowers(n)
	x, got := random(r, n, 1e-10, 1e16), make([]float32, n)
	for i := range n {
		p.Exponent[i] = float32(r.Float64()*1.3 - 0.3)
		if i%3 == 0 {
			p.Gain[i], p.Add[i], p.Less[i] = 0.3, 4.6, 1.5
		}
	}
	Power(got, x, p)
	for i := range n {
		base := float64(p.Gain[i])*float64(x[i]) + float64(p.Add[i])
		want := math.Pow(base, float64(p.Exponent[i]))
		// the exponent's own rounding counts as often as the base is doubled
		require.InDelta(t, want-float64(p.Less[i]), float64(got[i]), want*(3e-7+1e-7*math.Abs(math.Log2(base)*float64(p.Exponent[i])))+1e-7, "%g^%g", base, p.Exponent[i])
	}
	exact := []float32{1, 2, 4, 1024, 8, 0.5, 0.25, 65536}
	Power(got[:8], exact, NewPowers(8))
	for i, v := range exact {
		require.InEpsilon(t, v, got[i], 2e-7)
	}
}

func BenchmarkPower(b *testing.B) {
	p, x := NewPowers(80), random(rand.New(rand.NewPCG(1, 1)), 80, 1e-3, 1e9)
	dst := make([]float32, 80)
	for b.Loop() {
		Power(dst, x, p)
	}
}

func BenchmarkAddScaled3(b *testing.B) {
	x := make([]float32, 160)
	for b.Loop() {
		AddScaled3(x[:40], x[40:80], x[80:120], 1, 2, 3, x[120:])
	}
}
