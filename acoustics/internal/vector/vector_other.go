//go:build !amd64 && !(js && simd128)

package vector

import "unsafe"

func addScaled(x, w *float32, eights int, a float32) {
	addScaledGo(slice(x, eights), slice(w, eights), a)
}

func addScaled3(x, y, z, w *float32, eights int, a, b, c float32) {
	addScaledGo(slice(x, eights), slice(w, eights), a)
	addScaledGo(slice(y, eights), slice(w, eights), b)
	addScaledGo(slice(z, eights), slice(w, eights), c)
}

func around(dst, x, w *float32, eights, taps int) {
	n := eights * Lanes
	aroundGo(slice(dst, eights), unsafe.Slice(x, n+taps-1), unsafe.Slice(w, n*taps), taps)
}

func power(dst, x, gain, add, exponent, less *float32, eights int) {
	powerGo(slice(dst, eights), slice(x, eights), slice(gain, eights), slice(add, eights), slice(exponent, eights), slice(less, eights))
}

func slice(p *float32, eights int) []float32 { return unsafe.Slice(p, eights*Lanes) }
