//go:build js && simd128

package vector

// Each is the loop of the same name in Go, over eights times eight values; see package simd128.

//go:wasmimport vectors addScaled
//go:noescape
func addScaledEights(x, w *float32, eights int32, a float32)

//go:wasmimport vectors addScaled3
//go:noescape
func addScaled3Eights(x, y, z, w *float32, eights int32, a, b, c float32)

//go:wasmimport vectors around
//go:noescape
func aroundEights(dst, x, w *float32, eights, taps int32)

//go:wasmimport vectors power
//go:noescape
func powerEights(dst, x, gain, add, exponent, less *float32, eights int32)

func addScaled(x, w *float32, eights int, a float32) { addScaledEights(x, w, int32(eights), a) }

func addScaled3(x, y, z, w *float32, eights int, a, b, c float32) {
	addScaled3Eights(x, y, z, w, int32(eights), a, b, c)
}

func around(dst, x, w *float32, eights, taps int) {
	aroundEights(dst, x, w, int32(eights), int32(taps))
}

func power(dst, x, gain, add, exponent, less *float32, eights int) {
	powerEights(dst, x, gain, add, exponent, less, int32(eights))
}
