package counted

import (
	"testing"

	"afterchord/acoustics/hearing"
	"afterchord/voicing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func organ(t *testing.T) *voicing.Organ {
	o, ok := voicing.BuiltIn("minster")
	require.True(t, ok)
	return o
}

// What is counted in a church of a known time gives that time back.
func TestCountGivesTheChurchBack(t *testing.T) {
	o, mean := organ(t), hearing.New(hearing.Options{})
	for _, rt := range []float64{1.6, 2.8, 5, 8} {
		s, err := listener{"ff", 0, mean}.hears(rt, o)
		require.NoError(t, err)
		e, err := RT60(s, o)
		require.NoError(t, err)
		assert.InEpsilon(t, rt, e.RT60, 0.02)
		assert.Less(t, e.Least, e.RT60)
		assert.Greater(t, e.Most, e.RT60)
	}
}

// A full chord of some 95 dB over a noise of some 25 dB(A) falls by about 60 to 80 dB before it is lost: the seconds counted
// are near the reverberation time or somewhat above (common practice: counting after a loud chord comes near the time).
func TestCountIsNearTheTime(t *testing.T) {
	o := organ(t)
	for _, seconds := range []float64{2, 5, 8} {
		e, err := RT60(seconds, o)
		require.NoError(t, err)
		assert.InEpsilon(t, seconds, e.RT60, 0.35, "%g s counted: %.2f s", seconds, e.RT60)
	}
}

func TestLongerCountLongerTime(t *testing.T) {
	o, last := organ(t), 0.0
	for _, seconds := range []float64{2, 3, 5, 8} {
		e, err := RT60(seconds, o)
		require.NoError(t, err)
		assert.Greater(t, e.RT60, last)
		last = e.RT60
	}
}

func TestCountRefuses(t *testing.T) {
	for _, seconds := range []float64{0, 0.1, -2, 60} {
		_, err := RT60(seconds, organ(t))
		assert.ErrorContains(t, err, "give 2 to 20 counted seconds")
	}
}
