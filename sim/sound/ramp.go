package sound

// ramp adds src to dst with a gain that moves in a straight line from g by step a sample. It is the
// innermost loop of the mixing.
func ramp(dst, src []float32, g, step float32) {
	src = src[:len(dst)]
	eights := len(dst) / 8
	if eights > 0 {
		var gains [8]float32
		for i := range gains {
			gains[i] = g + float32(float32(i)*step)
		}
		rampEights(&dst[0], &src[0], eights, &gains, 8*step)
	}
	for i := 8 * eights; i < len(dst); i++ {
		dst[i] += float32((g + float32(float32(i)*step)) * src[i])
	}
}

// rampScalar adds eight samples at a time with gains that grow by step each time; dst and src
// are whole eights. The conversions keep a processor from fusing product and sum, which would round otherwise.
func rampScalar(dst, src []float32, gains *[8]float32, step float32) {
	for len(dst) >= 8 {
		for i := range gains {
			dst[i] += float32(gains[i] * src[i])
			gains[i] += step
		}
		dst, src = dst[8:], src[8:]
	}
}

// rampShorts is [ramp] of sound in 16 bits.
func rampShorts(dst []float32, src []int16, g, step float32) {
	src = src[:len(dst)]
	sixteens := len(dst) / 16
	if sixteens > 0 {
		rampShortSixteens(&dst[0], &src[0], sixteens, g, step)
	}
	for i := 16 * sixteens; i < len(dst); i++ {
		dst[i] += float32((g + float32(float32(i)*step)) * float32(src[i]))
	}
}

// rampShortScalar is [rampScalar] of sound in 16 bits, sixteen samples at a time; step is for one sample.
func rampShortScalar(dst []float32, src []int16, g, step float32) {
	var gains [16]float32
	for i := range gains {
		gains[i] = g + float32(float32(i)*step)
	}
	for len(dst) >= 16 {
		for i := range gains {
			dst[i] += float32(gains[i] * float32(src[i]))
			gains[i] += 16 * step
		}
		dst, src = dst[16:], src[16:]
	}
}
