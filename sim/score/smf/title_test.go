package smf

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What names a track or an instrument is no title (names as programs export them, common practice); what names a piece is.
func TestTitleOrTrackName(t *testing.T) {
	for _, name := range []string{"", "Untitled", "Track 1", "MIDI Track #2", "Piano", "Piano 1", "Acoustic Grand Piano", "Church Organ", "Right Hand", "Staff-1", "Pedal", "01"} {
		require.True(t, namesNoPiece(name), name)
	}
	for _, name := range []string{"Threshold", "Prelude for Organ", "Piano Sonata No. 2", "Solo for Trumpet Stop", "Ferry", "Choral 1"} {
		require.False(t, namesNoPiece(name), name)
	}
}
