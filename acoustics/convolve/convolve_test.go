package convolve

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/dsp/fourier"

	"afterchord/acoustics/internal/fft"
)

func noise(seed uint64, n int) []float64 {
	r := rand.New(rand.NewPCG(seed, 1))
	x := make([]float64, n)
	for i := range x {
		x[i] = r.NormFloat64()
	}
	return x
}

// reference is the convolution by one FFT of gonum's that holds all of it.
func reference(x, h []float64) []float64 {
	n := fft.PowerOfTwo(len(x) + len(h))
	fft := fourier.NewFFT(n)
	pad := func(v []float64) []complex128 { return fft.Coefficients(nil, append(v, make([]float64, n-len(v))...)) }
	a, b := pad(append([]float64(nil), x...)), pad(append([]float64(nil), h...))
	for i := range a {
		a[i] *= b[i] / complex(float64(n), 0)
	}
	return fft.Sequence(nil, a)[:len(x)+len(h)-1]
}

func relative(got, want []float64) float64 {
	var e, s float64
	for i := range want {
		e += (got[i] - want[i]) * (got[i] - want[i])
		s += want[i] * want[i]
	}
	return math.Sqrt(e / s)
}

// Source of the reference: gonum.org/v1/gonum/dsp/fourier.
func TestAgreesWithOneLargeFFT(t *testing.T) {
	for _, c := range []struct{ block, signal, response int }{
		{4, 40, 7}, {8, 100, 33}, {64, 1000, 64}, {64, 1000, 65}, {256, 5000, 3001}, {1024, 9000, 1},
		{256, 120000, 100000}, {4096, 100000, 70000}, {32768, 150000, 100000},
	} {
		for _, single := range []bool{false, true} {
			t.Run(fmt.Sprint(c, single), func(t *testing.T) {
				x, hl, hr := noise(1, c.signal), noise(2, c.response), noise(3, (c.response+1)/2)
				l, r, err := Stereo(x, Response{hl, hr}, Options{Block: c.block, Single: single})
				require.NoError(t, err)
				limit := 1e-13
				if single {
					limit = 1e-6 // noise 120 dB down
				}
				require.Less(t, relative(l, reference(x, hl)), limit)
				require.Less(t, relative(r[:len(x)+len(hr)-1], reference(x, hr)), limit)
			})
		}
	}
}

func TestImpulseReturnsTheDrySound(t *testing.T) {
	for _, delay := range []int{0, 1, 4095, 4096, 50000, 99999} {
		t.Run(fmt.Sprint(delay), func(t *testing.T) {
			h := make([]float64, 100000)
			h[delay] = 1
			x := noise(4, 30000)
			l, r, err := Stereo(x, Response{h, h}, Options{Block: 4096})
			require.NoError(t, err)
			require.Less(t, relative(l[delay:delay+len(x)], x), 1e-9)
			require.Equal(t, l, r)
		})
	}
}

// Several inputs with their own and a shared response are the sum of each alone.
func TestSharedResponse(t *testing.T) {
	const block = 512
	a, b, s := Response{noise(1, 700), noise(2, 10)}, Response{noise(3, 300), noise(4, 2000)}, Response{noise(5, 90000), noise(6, 80000)}
	x, y := noise(7, 100*block), noise(8, 100*block)
	c, err := New([]Response{a, b, {}}, s, Options{Block: block})
	require.NoError(t, err)
	l, r := make([]float64, len(x)), make([]float64, len(x))
	for at := 0; at < len(x); at += block {
		in := x[at : at+block]
		if at/block%7 == 3 { // silence by nil
			clear(in)
			in = nil
		}
		require.NoError(t, c.Process(l[at:at+block], r[at:at+block], in, y[at:at+block], nil))
	}
	sum := make([]float64, len(x))
	for i := range sum {
		sum[i] = x[i] + y[i]
	}
	for k, got := range [][]float64{l, r} {
		t.Run([]string{"left", "right"}[k], func(t *testing.T) {
			pick := func(p Response) []float64 { return [][]float64{p.L, p.R}[k] }
			want := make([]float64, len(x))
			for _, part := range [][]float64{reference(x, pick(a)), reference(y, pick(b)), reference(sum, pick(s))} {
				for i := range want {
					want[i] += part[i]
				}
			}
			require.Less(t, relative(got, want), 1e-13)
		})
	}
}

func TestSameBytesOnOneAndTwoCores(t *testing.T) {
	h := Response{noise(1, 150000), noise(2, 150000)}
	x := noise(3, 100000)
	for _, single := range []bool{false, true} {
		t.Run(fmt.Sprint(single), func(t *testing.T) {
			l1, r1, _ := Stereo(x, h, Options{Block: 1024, Workers: 1, Single: single})
			l2, r2, _ := Stereo(x, h, Options{Block: 1024, Workers: 2, Single: single})
			l5, r5, _ := Stereo(x, h, Options{Block: 1024, Workers: 5, Single: single})
			require.True(t, equal(l1, l2) && equal(r1, r2) && equal(l1, l5) && equal(r1, r5))
		})
	}
}

func equal(a, b []float64) bool {
	for i := range a {
		if a[i] != b[i] {
			return false
		}
	}
	return len(a) == len(b)
}

func TestResetForgets(t *testing.T) {
	h := Response{noise(1, 70000), noise(2, 70000)}
	c, err := New([]Response{h}, Response{}, Options{Block: 1024})
	require.NoError(t, err)
	x := noise(3, 1024)
	l, r, l2, r2 := make([]float64, 1024), make([]float64, 1024), make([]float64, 1024), make([]float64, 1024)
	require.NoError(t, c.Process(l, r, x))
	for range 50 {
		require.NoError(t, c.Process(l2, r2, x))
	}
	c.Reset()
	require.NoError(t, c.Process(l2, r2, x))
	require.True(t, equal(l, l2) && equal(r, r2))
}

func TestNoAllocationPerBlock(t *testing.T) {
	c, err := New([]Response{{noise(1, 100000), noise(2, 100000)}}, Response{}, Options{Block: 1024, Workers: 1})
	require.NoError(t, err)
	x, l, r := noise(3, 1024), make([]float64, 1024), make([]float64, 1024)
	in := [][]float64{x}
	require.Zero(t, testing.AllocsPerRun(100, func() { _ = c.Process(l, r, in...) }))
}

func TestRefusals(t *testing.T) {
	_, err := New(nil, Response{}, Options{})
	require.ErrorContains(t, err, "no input")
	_, err = New([]Response{{}}, Response{}, Options{Block: 1000})
	require.ErrorContains(t, err, "power of two")
	c, err := New([]Response{{}}, Response{}, Options{Block: 8})
	require.NoError(t, err)
	b := make([]float64, 8)
	require.NoError(t, c.Process(b, b, nil))
	require.Error(t, c.Process(b, b, b, b))
	require.Error(t, c.Process(b[:7], b, b))
	require.Error(t, c.Process(b, b, b[:3]))
}

// Cost per sample of stereo output with a response of 8 s at 48 kHz.
func BenchmarkEightSeconds(b *testing.B) {
	h := Response{noise(1, 8*48000), noise(2, 8*48000)}
	for _, single := range []bool{false, true} {
		for _, block := range []int{256, 2048, 8192, 16384, 32768, 65536, 131072} {
			b.Run(fmt.Sprintf("block=%d/single=%t", block, single), func(b *testing.B) {
				c, err := New([]Response{h}, Response{}, Options{Block: block, Single: single})
				require.NoError(b, err)
				x, l, r := noise(3, block), make([]float64, block), make([]float64, block)
				blocks := max(1, 1<<19/block)
				for b.Loop() {
					for range blocks {
						_ = c.Process(l, r, x)
					}
				}
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(blocks*block), "ns/sample")
				b.ReportMetric(float64(blocks*block)/48000*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
			})
		}
	}
}
