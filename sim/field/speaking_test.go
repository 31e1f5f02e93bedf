package field

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

func TestSpeakingIsTheSumOfItsPartials(t *testing.T) {
	var s Speaking
	s.Pipe(0.01)
	s.Partial(2, 0.03)
	s.Partial(1, 0.01)
	s.Pipe(0.05)
	s.Partial(4, 0.2)
	up := func(x float64) float64 { return math.Pow(1-math.Exp(-x), 2) }
	assert.Zero(t, s.At(0.01))
	assert.InDelta(t, 2*up(1)+up(3), s.At(0.04), 1e-12)
	assert.InDelta(t, 2*up(8)+up(24)+4*up(1), s.At(0.25), 1e-12)
	s.Clear()
	assert.Zero(t, s.At(1))
}
