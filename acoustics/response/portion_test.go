package response

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
)

// The beginning of a long tail is what the whole begins with, to the bit, and a tail that was broken off is there when it is asked for again.
func TestBeginningIsThatOfTheWhole(t *testing.T) {
	hall, err := room.FromRT(5)
	require.NoError(t, err)
	seat, err := hall.Seat("middle")
	require.NoError(t, err)
	tail, err := Late(t.Context(), hall, seat, 48000)
	require.NoError(t, err)
	over, leave := context.WithCancel(t.Context())
	leave()
	_, err = tail.Whole(over)
	require.ErrorIs(t, err, context.Canceled)
	all := allOf(t, tail)
	require.Len(t, all.L, tail.Samples())
	require.Greater(t, tail.Samples(), begunOver)
	require.Equal(t, all.L[:Begun], tail.Beginning().L[:Begun])
	require.Equal(t, all.R[:Begun], tail.Beginning().R[:Begun])
	require.Same(t, all, allOf(t, tail))
}

// A tail falls straight through the change from its beginning to the rest: from 250 Hz to 2 kHz each octave band has, in any 0.2 s about it, the level
// midway between those half a second before and after (above, the air damps the upper half of a band so much more that the fall is no straight line), within what chance leaves to the noise of a band (a standard deviation of
// 4.34/sqrt(bandwidth·time) dB in one level of one channel; four of the difference).
func TestTailFallsStraightThroughTheChange(t *testing.T) {
	hall, err := room.FromRT(5)
	require.NoError(t, err)
	seat, err := hall.Seat("middle")
	require.NoError(t, err)
	tail, err := Late(t.Context(), hall, seat, 48000)
	require.NoError(t, err)
	all := allOf(t, tail)
	const window = 0.2
	level := func(b int, from float64) float64 {
		a := int(from * 48000)
		part := func(x []float64) []float64 { return x[a : a+window*48000] }
		return 10 * math.Log10(bandEnergy(part(all.L), octave.Centres[b], 48000)+bandEnergy(part(all.R), octave.Centres[b], 48000))
	}
	for b := 3; b <= 6; b++ {
		slack := 4 * 4.34 / math.Sqrt(2*octave.Exact(b)/math.Sqrt2*window) * math.Sqrt(1.5)
		for from := 1.6; from < 3; from += 0.1 {
			midway := (level(b, from-0.5) + level(b, from+0.5)) / 2
			require.InDelta(t, midway, level(b, from), slack, "%g Hz, %.1f s", octave.Centres[b], from)
		}
	}
}

// The powers of two windows that change over add up to one.
func TestWindowsAddUp(t *testing.T) {
	const rate, length = 48000, 1 << 19
	first, second := make([]float64, length), make([]float64, length-Begun)
	for i := range first {
		first[i] = 1
	}
	for i := range second {
		second[i] = 1
	}
	beginning.window(5, length, rate).fade(first, rate)
	remainder.window(5, length, rate).fade(second, rate)
	for i, a := range first {
		power := a * a
		if i >= Begun {
			power += second[i-Begun] * second[i-Begun]
		}
		require.InDelta(t, 1, power, 1e-9, "sample %d", i)
	}
}
