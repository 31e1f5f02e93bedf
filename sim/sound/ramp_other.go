//go:build !amd64 && !(js && simd128)

package sound

import "unsafe"

func rampEights(dst, src *float32, eights int, gains *[8]float32, step float32) {
	rampScalar(unsafe.Slice(dst, 8*eights), unsafe.Slice(src, 8*eights), gains, step)
}

func rampShortSixteens(dst *float32, src *int16, sixteens int, gain, step float32) {
	rampShortScalar(unsafe.Slice(dst, 16*sixteens), unsafe.Slice(src, 16*sixteens), gain, step)
}
