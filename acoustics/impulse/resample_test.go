package impulse

import (
	"math"
	"testing"
)

func TestResampleKeepsASine(t *testing.T) {
	x := make([]float64, 4410)
	for i := range x {
		x[i] = math.Sin(2 * math.Pi * 1000 * float64(i) / 44100)
	}
	y := Resample(x, 44100, 48000)
	for i := 1000; i < 3800; i++ {
		want := math.Sin(2*math.Pi*1000*float64(i)/48000) * 44100 / 48000
		if math.Abs(y[i]-want) > 1e-4 {
			t.Fatalf("sample %d: %g, want %g", i, y[i], want)
		}
	}
}
