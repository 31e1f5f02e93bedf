package stoplist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What a mixture sounds is read wherever its ranks stand.
func TestDegreesOfAMixture(t *testing.T) {
	for _, line := range []string{"III ranks Mixture (15-19-22)", "III rks Mixture (15.19.22)", "Mixture III (15-19-22)", "Mixture 15-19-22 III", "Mixture 15.19.22"} {
		l := Read("Great\n8 ft Open Diapason\n" + line + "\n4 ft Principal\n")
		require.Len(t, l.Divisions[0].Stops, 3, line)
		s := l.Divisions[0].Stops[1]
		require.Equal(t, 2.0, s.Feet, line)
		require.Equal(t, 3, s.Ranks, line)
	}
}

// Keys by their count, and the compass of an organ as two counts (common practice).
func TestCountedKeys(t *testing.T) {
	l := Read("Swell\nOpen Diapason 8\nVoix Celeste (from C13) 8\nPedal\nBourdon 16\nElectric action. 61/30.\n")
	require.Equal(t, 48, l.Divisions[0].Stops[1].LowKey)
	require.Equal(t, 96, l.Facts.ManualHigh)
	require.Equal(t, 65, l.Facts.PedalHigh)
}
