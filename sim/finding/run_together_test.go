package finding

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

// A rise that is just enough adds so much power to what sounds; thresholds 5 dB lower ask for less: 10·lg(1 + (10^0.2 − 1)·10^−0.5).
func TestKeenerRise(t *testing.T) {
	assert.InDelta(t, 0.74, keenerRise(2, 5), 0.005)
	assert.InDelta(t, 2, keenerRise(2, 0), 1e-12)
}

// Two or three low notes are soon past; the same notes over and over are what a listener misses. Its range is that of ears.
func TestAPassageRunsTogetherNotAPair(t *testing.T) {
	figure := func(times int) []Finding {
		var keys []int
		for range times {
			keys = append(keys, 36, 38)
		}
		return RunTogether(hear(t, draw(play(t, "minster", page(60, line{"Pedal", tune(0.2, 0.125, keys...)})), "f"), "cathedral"))
	}
	assert.Empty(t, figure(1))
	long := figure(12)
	require.Len(t, long, 1)
	m := long[0].Measured
	assert.Less(t, m["needed_least_db"], m["needed_dip_db"])
	assert.Greater(t, m["places"], 8.0)
}

// Repeated notes are let go before they are struck again, by how much is the player's: where half their value separates them (60 dB in the
// reverberation time, common practice) they are worth a note. Low ones in a cathedral fail as they are written.
func TestWhatTouchMendsWeighsLess(t *testing.T) {
	repeated := func(pitch int, room string) Finding {
		found := RunTogether(hear(t, draw(play(t, "minster", page(90, line{"Great", tune(0, 0.5, slices.Repeat([]int{pitch}, 12)...)})), "mf"), room))
		require.Len(t, found, 1, room)
		return found[0]
	}
	assert.Equal(t, Notice, repeated(64, "parish-church").Severity)
	assert.Contains(t, repeated(64, "parish-church").Message, "a matter of touch")
	assert.Equal(t, Warning, repeated(64, "cathedral").Severity)
	assert.Equal(t, Fail, repeated(40, "cathedral").Severity)
	assert.NotContains(t, repeated(40, "cathedral").Message, "a matter of touch")
}

// A pedal note that is held under chords of the same staff is another line: the chords do not run together with it.
func TestHandsAndFeetOfOneStaffAreTwoLines(t *testing.T) {
	var notes []score.Note
	for i := range 16 {
		notes = append(notes, chordOf(float64(i), 0.4, 60, 64, 67)...)
	}
	chords := page(100, line{"Great", notes})
	with := page(100, line{"Great", notes})
	for i := range 4 {
		n := key(38, float64(4*i), 4)
		n.ID = len(with.Notes) + 1
		with.Notes = append(with.Notes, n)
	}
	with.SortNotes()
	for _, s := range []*score.Score{chords, with} {
		c := play(t, "minster", s)
		for i := range c.Performance.Notes {
			if n := &c.Performance.Notes[i]; n.Key == 38 {
				n.Division, _ = c.Organ.DivisionByName("Pedal")
			}
		}
		assert.Empty(t, words(RunTogether(hear(t, draw(c, "mf"), "chapel"))))
		assert.Len(t, c.lines(), 1+len(s.Notes)/52)
	}
}
