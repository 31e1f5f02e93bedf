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
	f := p - float64(k)
	a, b := &table[k], &table[k+1]
	src := x[int(n)-sincTaps/2+1:][:sincTaps:sincTaps]
	sum := 0.0
	for j := range src {
		sum += src[j] * (a[j] + f*(b[j]-a[j]))
	}
	return sum
}
