//go:build js && simd128

package fft

import "unsafe"

// See package simd128.

//go:wasmimport vectors down32
//go:noescape
func down32(re, im, tw unsafe.Pointer, q int32)

//go:wasmimport vectors up32
//go:noescape
func up32(re, im, tw unsafe.Pointer, q int32)

//go:wasmimport vectors down64
//go:noescape
func down64(re, im, tw unsafe.Pointer, q int32)

//go:wasmimport vectors up64
//go:noescape
func up64(re, im, tw unsafe.Pointer, q int32)

// downWide is a stage of [Plan.Down] in vector instructions; it reports whether it was done.
func downWide[T Float](re, im, tw []T) bool {
	r, i, w, q := unsafe.Pointer(&re[0]), unsafe.Pointer(&im[0]), unsafe.Pointer(&tw[0]), int32(len(re)/4)
	if unsafe.Sizeof(T(0)) == 4 {
		down32(r, i, w, q)
	} else {
		down64(r, i, w, q)
	}
	return true
}

// upWide is a stage of [Plan.Up] likewise.
func upWide[T Float](re, im, tw []T) bool {
	r, i, w, q := unsafe.Pointer(&re[0]), unsafe.Pointer(&im[0]), unsafe.Pointer(&tw[0]), int32(len(re)/4)
	if unsafe.Sizeof(T(0)) == 4 {
		up32(r, i, w, q)
	} else {
		up64(r, i, w, q)
	}
	return true
}
