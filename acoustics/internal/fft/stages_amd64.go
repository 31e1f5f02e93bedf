package fft

import (
	"unsafe"

	"golang.org/x/sys/cpu"
)

// wide says whether the processor takes eight values of single precision at a time, or four of double; one at a time gives the same bits.
var wide = cpu.X86.HasAVX2

//go:noescape
func down8s(re, im, tw *float32, q int)

//go:noescape
func up8s(re, im, tw *float32, q int)

//go:noescape
func down8d(re, im, tw *float64, q int)

//go:noescape
func up8d(re, im, tw *float64, q int)

// downWide is a stage of [Plan.Down] in vector instructions; it reports whether it was done.
func downWide[T Float](re, im, tw []T) bool {
	if wide {
		if unsafe.Sizeof(T(0)) == 4 {
			down8s(at[float32](re), at[float32](im), at[float32](tw), len(re)/4)
		} else {
			down8d(at[float64](re), at[float64](im), at[float64](tw), len(re)/4)
		}
	}
	return wide
}

// upWide is a stage of [Plan.Up] likewise.
func upWide[T Float](re, im, tw []T) bool {
	if wide {
		if unsafe.Sizeof(T(0)) == 4 {
			up8s(at[float32](re), at[float32](im), at[float32](tw), len(re)/4)
		} else {
			up8d(at[float64](re), at[float64](im), at[float64](tw), len(re)/4)
		}
	}
	return wide
}

// at is where v begins, for V the type that T stands for.
func at[V, T Float](v []T) *V { return (*V)(unsafe.Pointer(&v[0])) }
