package stoplist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Couplers may be counted by numerals with a stop, several to a line.
func TestNumeralsOfCouplersToALine(t *testing.T) {
	l := Read("Swell\nOpen Diapason 8\nOboe 8\nGreat\nOpen Diapason 8\nChoir\nDulciana 8\nI. Swell to Choir\nII. Swell to Great   III. Choir to Great\nPedal\nBourdon 16\nIV. Swell to Pedal   V. Great to Pedal   VI. Choir to Pedal\n")
	require.Len(t, l.Couplers, 6)
	require.Empty(t, l.Unread())
}
