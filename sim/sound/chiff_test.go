package sound

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/voicing"
)

// A note struck again has another chiff, of the same power; struck at the same sample it has the same.
func TestChiffTakes(t *testing.T) {
	c := newChiff(voicing.Noise{ChiffPower: 4, ChiffHz: 1500, ChiffS: 0.03}, 48000, 7, new(buffers))
	long := newChiff(voicing.Noise{ChiffPower: 4, ChiffHz: 1500, ChiffS: 4}, 48000, 7, new(buffers))
	const n = 48000
	for _, take := range long.takes {
		// One second of it, against the power of its envelope.
		power, want := 0.0, 0.0
		for i := 4 * n; i < 5*n; i++ {
			t := float64(i) / (4 * n)
			swell := (math.Exp(-t) - math.Exp(-chiffSpan)) * (1 - math.Exp(-6*t))
			power += long.unit * long.unit * float64(take[i]) * float64(take[i])
			want += 4 * swell * swell
		}
		require.InEpsilon(t, want, power, 0.1, "the power asked for")
	}
	type struck struct {
		first *int16
		unit  float64
	}
	takes := map[struck]bool{}
	for start := range int64(40) {
		take, unit := c.take(7, start*4800)
		again, same := c.take(7, start*4800)
		require.Equal(t, take, again)
		require.Equal(t, unit, same)
		takes[struck{&take[0], unit}] = true
	}
	require.Len(t, takes, 2*chiffTakes)
	require.NotEqual(t, c.takes[0], c.takes[1])

	size := len(c.takes[0])
	whole, pieces := make([]float32, size), make([]float32, size)
	mixChiff(whole, c.takes[0], 0, 1, 0)
	mixChiff(pieces[:1000], c.takes[0], 0, 1, 0)
	mixChiff(pieces[1000:], c.takes[0], 1000, 1, 0)
	require.Equal(t, whole, pieces)
	past := make([]float32, 8)
	mixChiff(past, c.takes[0], int64(size), 1, 0)
	require.Equal(t, make([]float32, 8), past)
}
