package sound

import "golang.org/x/sys/cpu"

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

// widest says whether the processor takes sixteen values of single precision at a time.
var widest = cpu.X86.HasAVX512F && cpu.X86.HasAVX512BW

// rampShortSixteens is [rampShortScalar] in vector instructions.
func rampShortSixteens(dst *float32, src *int16, sixteens int, gain, step float32) {
	switch {
	case widest:
		rampShortBySixteen(dst, src, sixteens, gain, step)
	case wide:
		rampShortByEight(dst, src, sixteens, gain, step)
	default:
		rampShortByFour(dst, src, sixteens, gain, step)
	}
}

//go:noescape
func rampShortBySixteen(dst *float32, src *int16, sixteens int, gain, step float32)

//go:noescape
func rampShortByEight(dst *float32, src *int16, sixteens int, gain, step float32)

//go:noescape
func rampShortByFour(dst *float32, src *int16, sixteens int, gain, step float32)
