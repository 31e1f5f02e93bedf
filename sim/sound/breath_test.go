package sound

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// carry has the wind carry x, whose first sample is sample at of the piece, in blocks.
func (b *breath) carry(x []float32, at int64, block int) {
	s := b.sound()
	for i := 0; i < len(x); i += block {
		part := x[i:min(len(x), i+block)]
		b.blow(at+int64(i), len(part))
		s.process(part, b.knots)
	}
}

// A steady tone of a division wanders by about a cent, never by more than a few, and keeps its level.
func TestWindWanders(t *testing.T) {
	const rate, hz, seconds = 48000, 1000.0, 60
	b := newBreath(7, rate, nil)
	x := make([]float32, rate*seconds)
	for i := range x {
		x[i] = float32(math.Sin(2 * math.Pi * hz * float64(i) / rate))
	}
	b.carry(x, 0, 32768)
	// Phase against the unmoved tone every 50 ms, from sums over whole periods.
	const step = rate / 20
	var phase, level []float64
	for i := step; i+step <= len(x); i += step {
		var re, im float64
		for k := i; k < i+480; k++ {
			s, c := math.Sincos(2 * math.Pi * hz * float64(k) / rate)
			re += float64(x[k]) * s
			im += float64(x[k]) * c
		}
		phase = append(phase, math.Atan2(im, re))
		level = append(level, 20*math.Log10(math.Hypot(re, im)/240))
	}
	sum, most := 0.0, 0.0
	for i := 1; i < len(phase); i++ {
		d := math.Remainder(phase[i]-phase[i-1], 2*math.Pi)
		cents := 1200 * math.Log2(1+d/(2*math.Pi*hz)*20)
		sum += cents * cents
		most = max(most, math.Abs(cents))
	}
	rms := math.Sqrt(sum / float64(len(phase)-1))
	t.Logf("rms %.2f cents, most %.2f", rms, most)
	require.InDelta(t, breathCent, rms, 0.4)
	require.Less(t, most, 4.0)
	for _, db := range level {
		require.InDelta(t, 0, db, 0.1)
	}
}

// The wander follows the place in the piece, however it is cut into blocks.
func TestWindIsTheSameInAnyBlocks(t *testing.T) {
	noise := func() []float32 {
		x := make([]float32, 20000)
		for i := range x {
			x[i] = float32(hash(3, int64(i)))
		}
		return x
	}
	whole, parts := noise(), noise()
	newBreath(5, 24000, nil).carry(whole, 640, len(whole))
	newBreath(5, 24000, nil).carry(parts, 640, 6400)
	require.Equal(t, whole, parts)
}

func BenchmarkBreath(b *testing.B) {
	w := newBreath(5, 48000, nil)
	x, s := make([]float32, 48000), w.sound()
	for b.Loop() {
		w.blow(0, len(x))
		s.process(x, w.knots)
	}
}
