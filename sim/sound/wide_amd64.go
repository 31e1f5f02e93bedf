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

//go:noescape
func shortEights(dst *int16, x *float64, eights int, scale float64)

// shorts is [shortsScalar], in vector instructions where the processor has them.
func shorts(dst []int16, x []float64, unit float64) {
	scale, whole := 1/unit, 0
	if wide && len(x) >= 8 {
		whole = len(x) &^ 7
		shortEights(&dst[:len(x)][0], &x[0], whole/8, scale)
	}
	shortsScalar(dst[whole:], x[whole:], scale)
}

//go:noescape
func largestEights(x *float64, eights int) float64

// largest is [largestScalar], in vector instructions where the processor has them.
func largest(x []float64) float64 {
	if !wide || len(x) < 8 {
		return largestScalar(x)
	}
	whole := len(x) &^ 7
	return max(largestEights(&x[0], whole/8), largestScalar(x[whole:]))
}
