package finding

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A group speaks with the figures of its worst place, and counts all.
func TestGroupCounts(t *testing.T) {
	a := Finding{Kind: KindRunTogether, Division: "Pedal", Bar: 1, ToBar: 2, Beat: 3, Count: 3, Weight: 1, Severity: Fail, Measured: map[string]float64{"dip_db": 0.5, "places": 3}}
	b := Finding{Kind: KindRunTogether, Division: "Pedal", Bar: 3, ToBar: 4, Beat: 1, Count: 2, Weight: 4, Severity: Fail, Measured: map[string]float64{"dip_db": 0.1, "places": 2}}
	far := Finding{Kind: KindRunTogether, Division: "Pedal", Bar: 9, ToBar: 9, Beat: 1, Count: 1}
	got := group([]Finding{a, b, far})
	require.Len(t, got, 2)
	require.Equal(t, 5, got[0].Count)
	require.Equal(t, map[string]float64{"dip_db": 0.1, "places": 5}, got[0].Measured)
	require.Equal(t, 1, got[0].Bar)
	require.Equal(t, 4, got[0].ToBar)
	require.Equal(t, 2.0, b.Measured["places"], "what was found stays")
}
