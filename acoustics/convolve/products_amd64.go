package convolve

import (
	"unsafe"

	"golang.org/x/sys/cpu"
)

// wide says whether the processor takes eight values at a time; one at a time gives the same bits.
var wide = cpu.X86.HasAVX2

//go:noescape
func multiply8s(sums, x, a, b *[4]*float32, eights int)

//go:noescape
func weigh8s(re, im, lo, hi, c, s *float32, eights int)

//go:noescape
func unweigh8s(out, re, im, c, s *float32, eights int, scale float32)

// multiplyWide is [multiply] in vector instructions, for the first so many points.
func multiplyWide[T real](lr, li, rr, ri, xr, xi, ar, ai, br, bi []T) (done int) {
	eights := len(lr) / 8
	if !wide || unsafe.Sizeof(T(0)) != 4 || eights == 0 {
		return 0
	}
	at := func(v []T) *float32 { return (*float32)(unsafe.Pointer(&v[0])) }
	multiply8s(&[4]*float32{at(lr), at(li), at(rr), at(ri)}, &[4]*float32{at(xr), at(xi)}, &[4]*float32{at(ar), at(ai)}, &[4]*float32{at(br), at(bi)}, eights)
	return 8 * eights
}

// weighWide turns samples by their weights in vector instructions, the first so many of them.
func weighWide[T real](re, im, lo, hi, c, s []T) (done int) {
	eights := len(re) / 8
	if !wide || unsafe.Sizeof(T(0)) != 4 || eights == 0 {
		return 0
	}
	at := func(v []T) *float32 { return (*float32)(unsafe.Pointer(&v[0])) }
	weigh8s(at(re), at(im), at(lo), at(hi), at(c), at(s), eights)
	return 8 * eights
}

// unweighWide undoes weighWide for the second half, the first so many samples.
func unweighWide[T real](out, re, im, c, s []T, scale T) (done int) {
	eights := len(out) / 8
	if !wide || unsafe.Sizeof(T(0)) != 4 || eights == 0 {
		return 0
	}
	at := func(v []T) *float32 { return (*float32)(unsafe.Pointer(&v[0])) }
	unweigh8s(at(out), at(re), at(im), at(c), at(s), eights, float32(scale))
	return 8 * eights
}
