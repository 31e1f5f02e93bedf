//go:build js && simd128

package convolve

import "unsafe"

// See package simd128.

//go:wasmimport vectors multiply
//go:noescape
func multiplyEights(lr, li, rr, ri, xr, xi, ar, ai, br, bi unsafe.Pointer, eights int32)

//go:wasmimport vectors weigh
//go:noescape
func weighEights(re, im, lo, hi, c, s unsafe.Pointer, eights int32)

//go:wasmimport vectors unweigh
//go:noescape
func unweighEights(out, re, im, c, s unsafe.Pointer, eights int32, scale float32)

// eights is how many eights of n values vector instructions take: those of single precision.
func eights[T real](n int) int {
	if unsafe.Sizeof(T(0)) != 4 {
		return 0
	}
	return n / 8
}

func at[T real](v []T) unsafe.Pointer { return unsafe.Pointer(&v[0]) }

// multiplyWide is [multiply] in vector instructions, for the first so many points.
func multiplyWide[T real](lr, li, rr, ri, xr, xi, ar, ai, br, bi []T) (done int) {
	n := eights[T](len(lr))
	if n > 0 {
		multiplyEights(at(lr), at(li), at(rr), at(ri), at(xr), at(xi), at(ar), at(ai), at(br), at(bi), int32(n))
	}
	return 8 * n
}

// weighWide turns samples by their weights in vector instructions, the first so many of them.
func weighWide[T real](re, im, lo, hi, c, s []T) (done int) {
	n := eights[T](len(re))
	if n > 0 {
		weighEights(at(re), at(im), at(lo), at(hi), at(c), at(s), int32(n))
	}
	return 8 * n
}

// unweighWide undoes weighWide for the second half, the first so many samples.
func unweighWide[T real](out, re, im, c, s []T, scale T) (done int) {
	n := eights[T](len(out))
	if n > 0 {
		unweighEights(at(out), at(re), at(im), at(c), at(s), int32(n), float32(scale))
	}
	return 8 * n
}
