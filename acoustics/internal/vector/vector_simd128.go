//go:build js && simd128

package vector

import "unsafe"

// Each is the loop of the same name in Go, over eights times eight values or over blocks; see package simd128.

//go:wasmimport vectors spread
//go:noescape
func spreadBlocks(x, a *float32, rows, reach unsafe.Pointer, blocks int32)

//go:wasmimport vectors spread3
//go:noescape
func spread3Blocks(x, y, z, a, b, c *float32, rows, reach unsafe.Pointer, blocks int32)

//go:wasmimport vectors most
//go:noescape
func mostEights(x *float32, eights int32) float32

//go:wasmimport vectors setMasked
//go:noescape
func setMaskedEights(masked, edge, ratio, s, masker, k, quiet *float32, eights int32, least float32)

//go:wasmimport vectors partial
//go:noescape
func partialEights(dst, s, masked, both, edge, rest, ratio, quiet *float32, eights int32, least float32)

//go:wasmimport vectors around
//go:noescape
func aroundEights(dst, x, w *float32, eights, taps int32)

//go:wasmimport vectors power
//go:noescape
func powerEights(dst, x, gain, add, exponent, less *float32, eights int32)

func spread(x, a []float32, rows []*float32, reach []Reach) {
	spreadBlocks(&x[0], &a[0], unsafe.Pointer(&rows[0]), unsafe.Pointer(&reach[0]), int32(len(reach)))
}

func spread3(x, y, z, a, b, c []float32, rows []*float32, reach []Reach) {
	spread3Blocks(&x[0], &y[0], &z[0], &a[0], &b[0], &c[0], unsafe.Pointer(&rows[0]), unsafe.Pointer(&reach[0]), int32(len(reach)))
}

func most(x []float32) float32 { return mostEights(&x[0], int32(len(x)/Lanes)) }

func setMasked(masked, edge, ratio, s, masker, k, quiet []float32, least float32) {
	setMaskedEights(&masked[0], &edge[0], &ratio[0], &s[0], &masker[0], &k[0], &quiet[0], int32(len(s)/Lanes), least)
}

func partial(dst, s, masked, both, edge, rest, ratio, quiet []float32, least float32) {
	partialEights(&dst[0], &s[0], &masked[0], &both[0], &edge[0], &rest[0], &ratio[0], &quiet[0], int32(len(s)/Lanes), least)
}

func around(dst, x, w *float32, eights, taps int) {
	aroundEights(dst, x, w, int32(eights), int32(taps))
}

func power(dst, x, gain, add, exponent, less *float32, eights int) {
	powerEights(dst, x, gain, add, exponent, less, int32(eights))
}
