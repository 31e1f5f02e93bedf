package convolve

import (
	"math"
	"math/bits"
)

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
	n      int
	cos    []T     // weights e^(iπj/2n)
	sin    []T     //
	stages []stage // from the largest
	tw     [][]T   // for each stage: w^j, w^2j, w^3j as re, im
}

type stage struct{ size int }

// newTransform plans for n complex points, a power of two >= 4.
func newTransform[T real](n int) *transform[T] {
	t := &transform[T]{n: n, cos: make([]T, n), sin: make([]T, n)}
	for j := range n {
		s, c := math.Sincos(math.Pi * float64(j) / float64(2*n))
		t.cos[j], t.sin[j] = T(c), T(s)
	}
	for size := n; size >= 4; size /= 4 {
		tw := make([]T, size/4*6)
		for j := range size / 4 {
			for m := 1; m <= 3; m++ {
				s, c := math.Sincos(-2 * math.Pi * float64(m*j) / float64(size))
				tw[6*j+2*m-2], tw[6*j+2*m-1] = T(c), T(s)
			}
		}
		t.stages = append(t.stages, stage{size})
		t.tw = append(t.tw, tw)
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
		for j, x := range lo {
			y := hi[j]
			re[j], im[j] = x*c[j]-y*s[j], x*s[j]+y*c[j]
		}
	}
	t.down(re, im, 0)
}

// down is the decimation in frequency of one block, depth first so that the smaller
// blocks stay in the cache.
func (t *transform[T]) down(re, im []T, level int) {
	if level == len(t.stages) {
		if len(re) == 2 {
			re[0], re[1] = re[0]+re[1], re[0]-re[1]
			im[0], im[1] = im[0]+im[1], im[0]-im[1]
		}
		return
	}
	q := len(re) / 4
	switch q {
	case 1:
		down4(re, im)
		return
	case 2:
		down8(re, im, t.tw[level])
		return
	}
	r0, r1, r2, r3 := re[:q], re[q:2*q], re[2*q:3*q], re[3*q:4*q]
	i0, i1, i2, i3 := im[:q], im[q:2*q], im[2*q:3*q], im[3*q:4*q]
	r1, r2, r3, i0, i1, i2, i3 = r1[:len(r0)], r2[:len(r0)], r3[:len(r0)], i0[:len(r0)], i1[:len(r0)], i2[:len(r0)], i3[:len(r0)]
	tw := t.tw[level]
	for j := range r0 {
		w := tw[:6:6]
		tw = tw[6:]
		sr, si := r0[j]+r2[j], i0[j]+i2[j]
		dr, di := r0[j]-r2[j], i0[j]-i2[j]
		ur, ui := r1[j]+r3[j], i1[j]+i3[j]
		vr, vi := i1[j]-i3[j], r3[j]-r1[j] // -i·(x1-x3)
		r0[j], i0[j] = sr+ur, si+ui
		ar, ai := dr+vr, di+vi
		r1[j], i1[j] = ar*w[0]-ai*w[1], ar*w[1]+ai*w[0]
		ar, ai = sr-ur, si-ui
		r2[j], i2[j] = ar*w[2]-ai*w[3], ar*w[3]+ai*w[2]
		ar, ai = dr-vr, di-vi
		r3[j], i3[j] = ar*w[4]-ai*w[5], ar*w[5]+ai*w[4]
	}
	t.down(r0, i0, level+1)
	t.down(r1, i1, level+1)
	t.down(r2, i2, level+1)
	t.down(r3, i3, level+1)
}

func down4[T real](re, im []T) {
	re, im = re[:4], im[:4]
	sr, si := re[0]+re[2], im[0]+im[2]
	dr, di := re[0]-re[2], im[0]-im[2]
	ur, ui := re[1]+re[3], im[1]+im[3]
	vr, vi := im[1]-im[3], re[3]-re[1]
	re[0], im[0] = sr+ur, si+ui
	re[1], im[1] = dr+vr, di+vi
	re[2], im[2] = sr-ur, si-ui
	re[3], im[3] = dr-vr, di-vi
}

func down8[T real](re, im []T, tw []T) {
	re, im, tw = re[:8], im[:8], tw[:12]
	for j := range 2 {
		w := tw[6*j : 6*j+6 : 6*j+6]
		sr, si := re[j]+re[j+4], im[j]+im[j+4]
		dr, di := re[j]-re[j+4], im[j]-im[j+4]
		ur, ui := re[j+2]+re[j+6], im[j+2]+im[j+6]
		vr, vi := im[j+2]-im[j+6], re[j+6]-re[j+2]
		re[j], im[j] = sr+ur, si+ui
		ar, ai := dr+vr, di+vi
		re[j+2], im[j+2] = ar*w[0]-ai*w[1], ar*w[1]+ai*w[0]
		ar, ai = sr-ur, si-ui
		re[j+4], im[j+4] = ar*w[2]-ai*w[3], ar*w[3]+ai*w[2]
		ar, ai = dr-vr, di-vi
		re[j+6], im[j+6] = ar*w[4]-ai*w[5], ar*w[5]+ai*w[4]
	}
	for k := 0; k < 8; k += 2 {
		re[k], re[k+1] = re[k]+re[k+1], re[k]-re[k+1]
		im[k], im[k+1] = im[k]+im[k+1], im[k]-im[k+1]
	}
}

// inverseHigh undoes forward and leaves the high half of the samples in out. re
// and im are used up.
func (t *transform[T]) inverseHigh(out []T, re, im []T) {
	n := t.n
	re, im, out = re[:n], im[:n], out[:n]
	t.up(re, im, 0)
	c, s := t.cos[:n], t.sin[:n]
	scale := 1 / T(n)
	for j := range out {
		out[j] = (im[j]*c[j] - re[j]*s[j]) * scale
	}
}

// up is the inverse of down, without the division by n.
func (t *transform[T]) up(re, im []T, level int) {
	if level == len(t.stages) {
		if len(re) == 2 {
			re[0], re[1] = re[0]+re[1], re[0]-re[1]
			im[0], im[1] = im[0]+im[1], im[0]-im[1]
		}
		return
	}
	q := len(re) / 4
	switch q {
	case 1:
		up4(re, im)
		return
	case 2:
		for k := 0; k < 8; k += 2 {
			re[k], re[k+1] = re[k]+re[k+1], re[k]-re[k+1]
			im[k], im[k+1] = im[k]+im[k+1], im[k]-im[k+1]
		}
	}
	r0, r1, r2, r3 := re[:q], re[q:2*q], re[2*q:3*q], re[3*q:4*q]
	i0, i1, i2, i3 := im[:q], im[q:2*q], im[2*q:3*q], im[3*q:4*q]
	if q > 2 {
		t.up(r0, i0, level+1)
		t.up(r1, i1, level+1)
		t.up(r2, i2, level+1)
		t.up(r3, i3, level+1)
	}
	r1, r2, r3, i0, i1, i2, i3 = r1[:len(r0)], r2[:len(r0)], r3[:len(r0)], i0[:len(r0)], i1[:len(r0)], i2[:len(r0)], i3[:len(r0)]
	tw := t.tw[level]
	for j := range r0 {
		w := tw[:6:6]
		tw = tw[6:]
		ar, ai := r1[j]*w[0]+i1[j]*w[1], i1[j]*w[0]-r1[j]*w[1]
		br, bi := r2[j]*w[2]+i2[j]*w[3], i2[j]*w[2]-r2[j]*w[3]
		cr, ci := r3[j]*w[4]+i3[j]*w[5], i3[j]*w[4]-r3[j]*w[5]
		sr, si := r0[j]+br, i0[j]+bi
		dr, di := r0[j]-br, i0[j]-bi
		ur, ui := ar+cr, ai+ci
		vr, vi := ci-ai, ar-cr // i·(a-c)
		r0[j], i0[j] = sr+ur, si+ui
		r1[j], i1[j] = dr+vr, di+vi
		r2[j], i2[j] = sr-ur, si-ui
		r3[j], i3[j] = dr-vr, di-vi
	}
}

func up4[T real](re, im []T) {
	re, im = re[:4], im[:4]
	sr, si := re[0]+re[2], im[0]+im[2]
	dr, di := re[0]-re[2], im[0]-im[2]
	ur, ui := re[1]+re[3], im[1]+im[3]
	vr, vi := im[3]-im[1], re[1]-re[3]
	re[0], im[0] = sr+ur, si+ui
	re[1], im[1] = dr+vr, di+vi
	re[2], im[2] = sr-ur, si-ui
	re[3], im[3] = dr-vr, di-vi
}

// powerOfTwo is the smallest power of two that is not below n.
func powerOfTwo(n int) int {
	if n <= 1 {
		return 1
	}
	return 1 << bits.Len(uint(n-1))
}
