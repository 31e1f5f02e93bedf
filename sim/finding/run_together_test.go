package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
