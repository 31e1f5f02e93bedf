package report

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/proof"
)

// A measured room's times are said empty and with people, and with which of them the report reckons.
func TestFillingsSayWhoIsThere(t *testing.T) {
	list := []proof.FillingInfo{{People: 0, RTS: 4.2}, {People: 120, RTS: 3.1, Computed: true}}
	now := midTime(map[string]float64{"250": 5, "500": 3.2, "1000": 3.0})
	require.Equal(t, "empty 4.2 s (measured), with 120 people 3.1 s (computed). This report takes the room with 120 people.", fillings(list, now))
	require.Equal(t, "empty 4.2 s (measured), with 120 people 3.1 s (computed). This report takes the room empty.", fillings(list, 4.2))
	require.Empty(t, fillings(nil, 3))
}
