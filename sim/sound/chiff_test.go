package sound

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/voicing"
)

// A note struck again has another chiff, of the same power; struck at the same sample it has the same.
func TestChiffTakes(t *testing.T) {
	c := newChiff(voicing.Noise{ChiffPower: 4, ChiffHz: 1500, ChiffS: 0.03}, 48000, 7)
	steady := newChiff(voicing.Noise{ChiffPower: 4, ChiffHz: 1500, ChiffS: 2}, 48000, 7)
	power := 0.0
	for _, x := range steady.noise {
		power += float64(x) * float64(x) / float64(len(steady.noise))
	}
	require.InEpsilon(t, 4, power, 0.05, "the power asked for")
	takes := map[int]bool{}
	for start := range int64(40) {
		take := c.take(7, start*4800)
		require.Equal(t, take, c.take(7, start*4800))
		require.LessOrEqual(t, take+len(c.swell), len(c.noise))
		takes[take] = true
	}
	require.Len(t, takes, chiffTakes)

	whole, pieces, other := make([]float32, len(c.swell)), make([]float32, len(c.swell)), make([]float32, len(c.swell))
	c.mix(whole, 0, 0, 1, 0)
	c.mix(pieces[:1000], 0, 0, 1, 0)
	c.mix(pieces[1000:], 0, 1000, 1, 0)
	require.Equal(t, whole, pieces)
	c.mix(other, takeStep(len(c.swell)), 0, 1, 0)
	require.NotEqual(t, whole, other)
	past := make([]float32, 8)
	c.mix(past, 0, int64(len(c.swell)), 1, 0)
	require.Equal(t, make([]float32, 8), past)
}
