//go:build !amd64

package sound

func ringTwoWide([]float64, *resonator, *resonator) bool { return false }

func sincSum(src *[sincTaps]float64, rows *[2][sincTaps]float64, f float64) float64 {
	return sincSumScalar(src, rows, f)
}

func shorts(dst []int16, x []float64, unit float64) { shortsScalar(dst, x, 1/unit) }

func largest(x []float64) float64 { return largestScalar(x) }
