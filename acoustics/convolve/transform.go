package convolve

import "afterchord/acoustics/internal/fft"

// real is the arithmetic of a spectrum.
type real interface{ float32 | float64 }

// transform turns 2n real samples into n complex numbers whose products are the
// negacyclic convolution of the samples: polynomials modulo x^2n+1. A real polynomial
// lo + x^n·hi becomes the complex lo + i·hi modulo x^n-i, which weights e^(iπj/2n) make cyclic
// (Crandall & Fagin 1994, right-angle convolution). Against a real FFT of 2n this saves the pass that
// separates the two halves of the spectrum; and since spectra are only multiplied, they stay in
// the digit-reversed order in which decimation in frequency leaves them.
//
// The wrapped part changes sign, but overlap-save throws it away.
type transform[T real] struct {
	n    int
	cos  []T // weights e^(iπj/2n)
	sin  []T
	plan *fft.Plan[T]
}

// newTransform plans for n complex points, a power of two >= 4.
func newTransform[T real](n int) *transform[T] {
	t := &transform[T]{n: n, cos: make([]T, n), sin: make([]T, n), plan: fft.NewPlan[T](n)}
	roots := fft.NewRoots(4 * n)
	for j := range n {
		c, s := roots.At(j)
		t.cos[j], t.sin[j] = T(c), T(s)
	}
	return t
}

// forward transforms the samples lo, hi (each n long; hi nil for zeros) into re, im.
func (t *transform[T]) forward(re, im []T, lo, hi []T) {
	n := t.n
	re, im, lo = re[:n], im[:n], lo[:n]
	c, s := t.cos[:n], t.sin[:n]
	if hi == nil {
		for j, x := range lo {
			re[j], im[j] = x*c[j], x*s[j]
		}
	} else {
		hi = hi[:n]
		for j := weighWide(re, im, lo, hi, c, s); j < n; j++ {
			x, y := lo[j], hi[j]
			re[j], im[j] = T(x*c[j])-T(y*s[j]), T(x*s[j])+T(y*c[j])
		}
	}
	t.plan.Down(re, im)
}

// inverseHigh undoes forward and leaves the high half of the samples in out. re
// and im are used up.
func (t *transform[T]) inverseHigh(out []T, re, im []T) {
	n := t.n
	re, im, out = re[:n], im[:n], out[:n]
	t.plan.Up(re, im)
	c, s := t.cos[:n], t.sin[:n]
	scale := 1 / T(n)
	for j := unweighWide(out, re, im, c, s, scale); j < n; j++ {
		out[j] = (T(im[j]*c[j]) - T(re[j]*s[j])) * scale
	}
}
