//go:build js && simd128

package sound

// See package simd128.
//
//go:wasmimport vectors ramp
//go:noescape
func rampVectors(dst, src *float32, eights int32, gains *[8]float32, step float32)

func rampEights(dst, src *float32, eights int, gains *[8]float32, step float32) {
	rampVectors(dst, src, int32(eights), gains, step)
}

//go:wasmimport vectors rampShorts
//go:noescape
func rampShortVectors(dst *float32, src *int16, sixteens int32, gain, step float32)

func rampShortSixteens(dst *float32, src *int16, sixteens int, gain, step float32) {
	rampShortVectors(dst, src, int32(sixteens), gain, step)
}
