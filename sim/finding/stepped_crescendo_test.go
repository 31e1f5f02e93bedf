package finding

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Adding stops under a held chord makes steps (common practice).
func TestSteppedCrescendo(t *testing.T) {
	held := page(60, line{"Great", chordOf(0, 8, 55, 60, 64, 67)})
	c := draw(play(t, "village", held), "p")
	change(c, 4, "ff")
	got := SteppedCrescendo(hear(t, c, "chapel"))
	wellFormed(t, KindSteppedCrescendo, got)
	require.Len(t, got, 1)
	require.Equal(t, Warning, got[0].Severity)
	require.Greater(t, got[0].Measured["step_db"], 3.0)

	// and down again is the same step with the other sign
	d := draw(play(t, "village", held), "ff")
	change(d, 4, "p")
	back := SteppedCrescendo(hear(t, d, "chapel"))
	require.Len(t, back, 1)
	require.InDelta(t, -got[0].Measured["step_db"], back[0].Measured["step_db"], 0.11)
	require.Regexp(t, `stops or couplers .*under a held chord of 4 keys: the level at the seat rises by [0-9.]+ dB`, got[0].Message)
	require.Regexp(t, `stops or couplers .*under a held chord of 4 keys: the level at the seat falls by [0-9.]+ dB`, back[0].Message)

	// between two chords it is no step under a held one
	e := draw(play(t, "village", page(60, line{"Great", append(chordOf(0, 3.5, 55, 60, 64, 67), chordOf(4, 4, 55, 60, 64, 67)...)})), "p")
	change(e, 4, "ff")
	require.Empty(t, words(SteppedCrescendo(hear(t, e, "chapel"))))

	// without a field there is nothing to measure
	e.Field = nil
	require.Empty(t, SteppedCrescendo(e))
}
