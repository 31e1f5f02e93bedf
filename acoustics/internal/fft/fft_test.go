package fft

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	dsp "github.com/mjibson/go-dsp/fft"
	"gonum.org/v1/gonum/dsp/fourier"
)

func noise(n int) []float64 {
	rng := rand.New(rand.NewPCG(uint64(n), 7))
	x := make([]float64, n)
	for i := range x {
		x[i] = rng.NormFloat64()
	}
	return x
}

// Source of the reference: gonum.org/v1/gonum/dsp/fourier.
func TestRealAgreesWithGonum(t *testing.T) {
	for n := 8; n <= 1<<17; n *= 2 {
		x := noise(n)
		want := fourier.NewFFT(n).Coefficients(nil, x)
		r := NewReal(n)
		got := r.Coefficients(nil, x)
		limit := 1e-15 * math.Sqrt(float64(n)) * (4 + math.Log2(float64(n)))
		for k := range want {
			if d := cmplx.Abs(got[k] - want[k]); d > limit {
				t.Fatalf("n %d, coefficient %d: off by %g", n, k, d)
			}
		}
		for i, v := range r.Sequence(nil, got) {
			if math.Abs(v/float64(n)-x[i]) > 1e-14 {
				t.Fatalf("n %d: sample %d is %g after both ways, was %g", n, i, v/float64(n), x[i])
			}
		}
	}
}

// Source of the second reference: github.com/mjibson/go-dsp/fft, which computes the whole complex
// spectrum by another algorithm (radix 2, roots from a table).
func TestRealAgreesWithGoDSP(t *testing.T) {
	for n := 8; n <= 1<<15; n *= 8 {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			x := noise(n)
			want := dsp.FFTReal(x)
			got := NewReal(n).Coefficients(nil, x)
			limit := 1e-15 * math.Sqrt(float64(n)) * (4 + math.Log2(float64(n)))
			for k := range got {
				if d := cmplx.Abs(got[k] - want[k]); d > limit {
					t.Fatalf("coefficient %d: off by %g", k, d)
				}
			}
		})
	}
}

func TestShortInputIsFilledWithZeros(t *testing.T) {
	x := noise(64)
	clear(x[37:])
	r := NewReal(64)
	a, b := r.Coefficients(nil, x), r.Coefficients(nil, x[:37])
	for k := range a {
		if a[k] != b[k] {
			t.Fatalf("coefficient %d differs", k)
		}
	}
}

func TestRootsAreExact(t *testing.T) {
	for _, n := range []int{4, 8, 1024, 1 << 20} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			r := NewRoots(n)
			for k := 0; k < n; k += 1 + n/1000 {
				c, s := r.At(k)
				want, wantC := math.Sincos(2 * math.Pi * float64(k) / float64(n))
				if math.Abs(c-wantC) > 1e-15 || math.Abs(s-want) > 1e-15 {
					t.Fatalf("root %d of %d: %g, %g", k, n, c-wantC, s-want)
				}
			}
		})
	}
}

func BenchmarkReal(b *testing.B) {
	for n := 1 << 14; n <= 1<<20; n *= 8 {
		x, r, ref := noise(n), NewReal(n), fourier.NewFFT(n)
		c := make([]complex128, n/2+1)
		b.Run(fmt.Sprintf("own/%d", n), func(b *testing.B) {
			for b.Loop() {
				r.Coefficients(c, x)
			}
		})
		b.Run(fmt.Sprintf("go-dsp/%d", n), func(b *testing.B) {
			for b.Loop() {
				dsp.FFTReal(x)
			}
		})
		b.Run(fmt.Sprintf("gonum/%d", n), func(b *testing.B) {
			for b.Loop() {
				ref.Coefficients(c, x)
			}
		})
		b.Run(fmt.Sprintf("plan/%d", n), func(b *testing.B) {
			for b.Loop() {
				NewPlan[float64](n / 2)
			}
		})
	}
}
