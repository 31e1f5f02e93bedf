package sound

// rampEights is [rampScalar] in vector instructions; the samples are the same to the bit.
func rampEights(dst, src *float32, eights int, gains *[8]float32, step float32) {
	if wide {
		rampByEight(dst, src, eights, gains, step)
	} else {
		rampByFour(dst, src, eights, gains, step)
	}
}

//go:noescape
func rampByEight(dst, src *float32, eights int, gains *[8]float32, step float32)

// rampByFour takes what every amd64 processor has.
//
//go:noescape
func rampByFour(dst, src *float32, eights int, gains *[8]float32, step float32)

// rampShortEights is [rampShortScalar] in vector instructions.
func rampShortEights(dst *float32, src *int16, eights int, gains *[8]float32, step float32) {
	if wide {
		rampShortByEight(dst, src, eights, gains, step)
	} else {
		rampShortByFour(dst, src, eights, gains, step)
	}
}

//go:noescape
func rampShortByEight(dst *float32, src *int16, eights int, gains *[8]float32, step float32)

//go:noescape
func rampShortByFour(dst *float32, src *int16, eights int, gains *[8]float32, step float32)
