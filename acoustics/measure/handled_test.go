package measure

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/internal/fft"
)

// A steady noise of any colour passes; one whose weak bins have been weakened more than its strong ones, as suppressions do, is told.
func TestNoiseSuppressionIsTold(t *testing.T) {
	const rate, n = 48000, 1024
	for _, colour := range []float64{0, 0.9} {
		rng := rand.New(rand.NewPCG(4, 4))
		x := make([]float64, rate)
		last := 0.0
		for i := range x {
			last = colour*last + 1e-3*rng.NormFloat64()
			x[i] = last
		}
		require.False(t, brokenUp(x, rate, rate), "colour %g", colour)

		y := make([]float64, rate) // each frame's bins to the power of 1.5
		transform, block := fft.NewReal(n), make([]float64, n)
		for a := 0; a+n <= len(x); a += n / 2 {
			for i := range block {
				block[i] = x[a+i] * math.Sin(math.Pi*(float64(i)+0.5)/n)
			}
			spectrum := transform.Coefficients(nil, block)
			for k, c := range spectrum {
				spectrum[k] = c * complex(math.Sqrt(math.Hypot(real(c), imag(c))), 0)
			}
			transform.Sequence(block, spectrum)
			for i := range block {
				y[a+i] += block[i] * math.Sin(math.Pi*(float64(i)+0.5)/n) / n
			}
		}
		require.True(t, brokenUp(y, rate, rate), "colour %g", colour)
	}
}

// A quiet recording reaches the last digits of its file, which is no gate.
func TestLastDigitsAreNoGate(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	const rate = 16000
	x := make([]float64, 4*rate)
	for i := range x {
		x[i] = math.Round(32767*0.1*rng.NormFloat64()*math.Pow(10, -3*float64(i)/rate)) / 32768
	}
	whole := Take{to: len(x), rate: rate}
	require.False(t, whole.silenced(x))
	clear(x[rate/2:])
	require.True(t, whole.silenced(x))
}
