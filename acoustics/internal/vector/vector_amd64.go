package vector

import "golang.org/x/sys/cpu"

// wide says whether the processor takes eight values at a time (AVX2); with four at a time the bits are the same.
var wide = cpu.X86.HasAVX2

// Each is the loop of the same name in Go, over eights times eight values.

//go:noescape
func addScaled(x, w *float32, eights int, a float32)

//go:noescape
func addScaled3(x, y, z, w *float32, eights int, a, b, c float32)

//go:noescape
func around(dst, x, w *float32, eights, taps int)

//go:noescape
func power(dst, x, gain, add, exponent, less *float32, eights int)
