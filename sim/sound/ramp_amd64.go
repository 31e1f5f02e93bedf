package sound

// rampEights is [rampScalar] in vector instructions that every amd64 processor has; the samples are the same
// to the bit.
//
//go:noescape
func rampEights(dst, src *float32, eights int, gains *[8]float32, step float32)
