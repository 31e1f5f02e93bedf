package fft

import (
	"sync"
	"weak"
)

// Real is the transform of n real samples to the n/2+1 coefficients from 0 to the Nyquist
// frequency, by one complex transform of half the length. It is read-only and may be shared.
type Real struct {
	n     int
	plan  *Plan[float64]
	order []int32
	roots Roots
}

// spaces are for one transform each, of any length.
var spaces = sync.Pool{New: func() any { return new([]float64) }}

// space is the real and imaginary parts of half the samples in the space of *both. They lie apart by half a page more than their length, so
// that equal places do not meet in the cache.
func (r *Real) space(both *[]float64) (re, im []float64) {
	const apart = 256
	half := r.n / 2
	if len(*both) < r.n+apart {
		*both = make([]float64, r.n+apart)
	}
	return (*both)[:half:half], (*both)[half+apart:][:half:half]
}

var (
	realsLock sync.Mutex
	reals     = map[int]weak.Pointer[Real]{} // plans in use are shared; others may go
)

// NewReal plans for n samples, a power of two >= 8.
func NewReal(n int) *Real {
	realsLock.Lock()
	defer realsLock.Unlock()
	if r := reals[n].Value(); r != nil {
		return r
	}
	r := &Real{n: n, plan: NewPlan[float64](n / 2), roots: NewRoots(n)}
	r.order = r.plan.Order()
	reals[n] = weak.Make(r)
	return r
}

// N is the number of samples.
func (r *Real) N() int { return r.n }

// Coefficients is Σ x[j]·e^(-2πijk/n) for k = 0 … n/2, in dst if that is not nil.
// x may be shorter than n; zeros follow.
func (r *Real) Coefficients(dst []complex128, x []float64) []complex128 {
	half := r.n / 2
	if dst == nil {
		dst = make([]complex128, half+1)
	}
	both := spaces.Get().(*[]float64)
	defer spaces.Put(both)
	re, im := r.space(both)
	pairs := min(half, len(x)/2)
	for j := range pairs {
		re[j], im[j] = x[2*j], x[2*j+1]
	}
	clear(re[pairs:])
	clear(im[pairs:])
	if pairs < half && len(x)%2 == 1 {
		re[pairs] = x[2*pairs]
	}
	r.plan.Down(re, im)
	// Even and odd samples are the real and imaginary parts: X[k] = E[k] + e^(-2πik/n)·O[k].
	dst[0] = complex(re[0]+im[0], 0)
	dst[half] = complex(re[0]-im[0], 0)
	for k := 1; k <= half/2; k++ {
		p, q := r.order[k], r.order[half-k]
		er, ei := (re[p]+re[q])/2, (im[p]-im[q])/2
		or, oi := (im[p]+im[q])/2, (re[q]-re[p])/2
		c, s := r.roots.At(k)
		tr, ti := or*c+oi*s, oi*c-or*s
		dst[k] = complex(er+tr, ei+ti)
		dst[half-k] = complex(er-tr, ti-ei)
	}
	return dst
}

// Sequence undoes Coefficients, times n, in dst if that is not nil. The imaginary parts of the
// first and the last coefficient do not count.
func (r *Real) Sequence(dst []float64, c []complex128) []float64 {
	half := r.n / 2
	if dst == nil {
		dst = make([]float64, r.n)
	}
	both := spaces.Get().(*[]float64)
	defer spaces.Put(both)
	re, im := r.space(both)
	a, b := real(c[0]), real(c[half])
	re[0], im[0] = a+b, a-b
	for k := 1; k <= half/2; k++ {
		p, q := r.order[k], r.order[half-k]
		x, y := c[k], c[half-k]
		er, ei := real(x)+real(y), imag(x)-imag(y)
		dr, di := real(x)-real(y), imag(x)+imag(y)
		cos, sin := r.roots.At(k)
		or, oi := dr*cos-di*sin, di*cos+dr*sin
		re[p], im[p] = er-oi, ei+or
		re[q], im[q] = er+oi, or-ei
	}
	r.plan.Up(re, im)
	for j := range half {
		dst[2*j], dst[2*j+1] = re[j], im[j]
	}
	return dst
}
