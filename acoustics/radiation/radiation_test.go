package radiation

import (
	"math"
	"testing"

	"afterchord/acoustics/octave"

	"github.com/stretchr/testify/require"
)

// However it points, the power is the same: over all directions (evenly in the cosine) the mean is 1.
func TestPowerStays(t *testing.T) {
	for _, shut := range []float64{0, 0.3, 1} {
		const n = 1000
		var sum octave.Bands
		for i := range n {
			for b, x := range Toward(2*(float64(i)+0.5)/n-1, shut) {
				require.Positive(t, x)
				sum[b] += x / n
			}
		}
		for b := range sum {
			require.InDelta(t, 1, sum[b], 1e-9)
		}
	}
}

// Straight ahead an open case lies between a source in the open and one in a wall (0 and 3 dB; Kuttruff, Room Acoustics, from memory), the more
// the higher the note; a shut box has lost more of its treble there than all around, and nothing to speak of in the bass.
func TestTrebleIsTurnedAway(t *testing.T) {
	open, shut := Toward(1, 0), Toward(1, 1)
	last := 0.0
	for b := range open {
		db := 10 * math.Log10(open[b])
		require.True(t, db > 0 && db < 3, "%g dB", db)
		lost := 10 * math.Log10(open[b]/shut[b])
		require.Greater(t, lost, last)
		last = lost
	}
	require.Less(t, 10*math.Log10(open[0]/shut[0]), 0.7)
	require.InDelta(t, 4.5, last, 1)
}
