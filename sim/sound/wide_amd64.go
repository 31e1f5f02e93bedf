package sound

import "golang.org/x/sys/cpu"

// wide says whether the processor takes four values of double precision at a time; one at a time gives the same bits.
var wide = cpu.X86.HasAVX2

//go:noescape
func ringTwoEights(dst *float64, eights int, a, b *resonator)

// ringTwoWide is ringTwo in vector instructions; it reports whether it was done.
func ringTwoWide(dst []float64, a, b *resonator) bool {
	if wide && len(dst) >= lanes {
		ringTwoEights(&dst[0], len(dst)/lanes, a, b)
	}
	return wide
}

//go:noescape
func sincSumFours(src *[sincTaps]float64, rows *[2][sincTaps]float64, f float64) float64

// sincSum is [sincSumScalar], in vector instructions where the processor has them.
func sincSum(src *[sincTaps]float64, rows *[2][sincTaps]float64, f float64) float64 {
	if wide {
		return sincSumFours(src, rows, f)
	}
	return sincSumScalar(src, rows, f)
}
