//go:build !amd64 && !(js && simd128)

package convolve

func multiplyWide[T real](lr, li, rr, ri, xr, xi, ar, ai, br, bi []T) (done int) { return 0 }

func weighWide[T real](re, im, lo, hi, c, s []T) (done int) { return 0 }

func unweighWide[T real](out, re, im, c, s []T, scale T) (done int) { return 0 }
