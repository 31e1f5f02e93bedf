//go:build !amd64

package vector

import "unsafe"

func addScaled(x, w *float32, fours int, a float32) {
	addScaledGo(slice(x, fours), slice(w, fours), a)
}

func addScaled3(x, y, z, w *float32, fours int, a, b, c float32) {
	addScaledGo(slice(x, fours), slice(w, fours), a)
	addScaledGo(slice(y, fours), slice(w, fours), b)
	addScaledGo(slice(z, fours), slice(w, fours), c)
}

func around(dst, x, w *float32, fours, taps int) {
	n := fours * Lanes
	aroundGo(slice(dst, fours), unsafe.Slice(x, n+taps-1), unsafe.Slice(w, n*taps), taps)
}

func power(dst, x, gain, add, exponent, less *float32, fours int) {
	powerGo(slice(dst, fours), slice(x, fours), slice(gain, fours), slice(add, fours), slice(exponent, fours), slice(less, fours))
}

func slice(p *float32, fours int) []float32 { return unsafe.Slice(p, fours*Lanes) }
