package field

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/performance"
	"afterchord/sim/pipework"
)

// A diffuse field grows as 1−10^(−6t/T) and ends at the steady state.
func TestRisingFillsTheRoom(t *testing.T) {
	const rt = 3.0
	h := testHall(t, rt, false)
	events := []pipework.Event{event(0, 60, 0, 9)}
	f, err := Run(context.Background(), h, events, &performance.Performance{Notes: []performance.Note{{Key: 60, OffS: 9}}})
	require.NoError(t, err)
	steady := make([]float64, h.Model.N())
	f.Steady(steady, []int32{0}, 0)
	for _, after := range []float64{0.05, 0.3, 1, 3, 20} {
		dst := make([]float64, h.Model.N())
		f.Rising([]int32{0}, 0).Add(dst, after)
		assert.InDelta(t, toDB(1-math.Pow(10, -6*after/rt)), DB(dst)-DB(steady), 0.01, "%g s", after)
	}
}
