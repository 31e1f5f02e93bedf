package sound

import (
	"math"
	"sync"
)

const (
	sincTaps   = 16
	sincPhases = 512
)

// sincTable are windowed sincs that read between two samples, one for each part of the way.
var sincTable = sync.OnceValue(func() *[sincPhases + 1][sincTaps]float64 {
	table := new([sincPhases + 1][sincTaps]float64)
	for p := range table {
		f := float64(p) / sincPhases
		sum := 0.0
		for k := range sincTaps {
			x := float64(k-sincTaps/2+1) - f
			w := math.Cos(math.Pi * x / (sincTaps + 1))
			v := w * w
			if x != 0 {
				v *= math.Sin(math.Pi*x) / (math.Pi * x)
			}
			table[p][k] = v
			sum += v
		}
		for k := range sincTaps {
			table[p][k] /= sum
		}
	}
	return table
})

// between is x at pos, which is at least sincTaps/2 samples from both ends.
func between(table *[sincPhases + 1][sincTaps]float64, x []float64, pos float64) float64 {
	n := math.Floor(pos)
	p := (pos - n) * sincPhases
	k := min(sincPhases-1, int(p))
	src := (*[sincTaps]float64)(x[int(n)-sincTaps/2+1:])
	return sincSum(src, (*[2][sincTaps]float64)(table[k:]), p-float64(k))
}

// sincSumScalar is the sum of src under the sinc that lies f of the way from the first of rows to the second; four sums are kept, of every
// fourth sample, as vector instructions keep them.
func sincSumScalar(src *[sincTaps]float64, rows *[2][sincTaps]float64, f float64) float64 {
	var sums [4]float64
	a, b := &rows[0], &rows[1]
	for j := 0; j < sincTaps; j += 4 {
		sums[0] += float64(src[j] * (a[j] + float64(f*(b[j]-a[j]))))
		sums[1] += float64(src[j+1] * (a[j+1] + float64(f*(b[j+1]-a[j+1]))))
		sums[2] += float64(src[j+2] * (a[j+2] + float64(f*(b[j+2]-a[j+2]))))
		sums[3] += float64(src[j+3] * (a[j+3] + float64(f*(b[j+3]-a[j+3]))))
	}
	return (sums[0] + sums[2]) + (sums[1] + sums[3])
}
