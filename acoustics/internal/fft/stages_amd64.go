package fft

import (
	"unsafe"

	"golang.org/x/sys/cpu"
)

// wide says whether the processor takes eight values at a time; one at a time gives the same bits.
var wide = cpu.X86.HasAVX2

//go:noescape
func down8s(re, im, tw *float32, q int)

//go:noescape
func up8s(re, im, tw *float32, q int)

// downWide is a stage of [Plan.Down] in vector instructions, where there are any for T; it reports whether it was done.
func downWide[T Float](re, im, tw []T) bool {
	if !wide || unsafe.Sizeof(T(0)) != 4 {
		return false
	}
	down8s((*float32)(unsafe.Pointer(&re[0])), (*float32)(unsafe.Pointer(&im[0])), (*float32)(unsafe.Pointer(&tw[0])), len(re)/4)
	return true
}

// upWide is a stage of [Plan.Up] likewise.
func upWide[T Float](re, im, tw []T) bool {
	if !wide || unsafe.Sizeof(T(0)) != 4 {
		return false
	}
	up8s((*float32)(unsafe.Pointer(&re[0])), (*float32)(unsafe.Pointer(&im[0])), (*float32)(unsafe.Pointer(&tw[0])), len(re)/4)
	return true
}
