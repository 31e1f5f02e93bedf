package stoplist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A stop that is drawn from another's pipes has that one's kind of pipes: an Octave from an Open Wood is an open flute, a Flute from a Bourdon a stopped
// one (common practice).
func TestBorrowedStopsAreOfTheKindOfTheirOrigin(t *testing.T) {
	l := Read("GREAT\n1. Open Diapason 8\n2. Principal 4\n3. Clarinet (enclosed in Swell box) 8\nPEDAL\n28. Open Wood 16\n29. Bourdon 16\n30. Acoustic Bass (from 28 & 29) 32\n31. Octave (ext. 28)  8\n32. Bass Flute (ext. 29) 8\n33. Flute 4 (from Bourdon)\n34. Flute 8 (from 99)\n")
	require.Empty(t, l.Unread())
	want := map[string]string{
		"Clarinet":   "Great: Clarinet 8 (half-length reed)",
		"Octave":     "Pedal: Octave 8 (open flute), borrowed",
		"Bass Flute": "Pedal: Bass Flute 8 (stopped flute), borrowed",
	}
	flutes := []string{"Pedal: Flute 4 (stopped flute), borrowed", "Pedal: Flute 8 (open flute), borrowed"}
	for i := range l.Divisions {
		for k := range l.Divisions[i].Stops {
			s := &l.Divisions[i].Stops[k]
			if text := l.stopText(i, s); want[s.Name] != "" {
				require.Equal(t, want[s.Name], text)
				delete(want, s.Name)
			} else if s.Name == "Flute" {
				require.Equal(t, flutes[0], text)
				flutes = flutes[1:]
			}
		}
	}
	require.Empty(t, want)
	require.Empty(t, flutes)
}

// The keys of manuals and pedal in two sentences on a line open no division.
func TestKeysInTwoSentences(t *testing.T) {
	l := Read("Manual compass: 61 notes. Pedal compass: 32 notes.\n\nGREAT\nOpen Diapason 8\nPrincipal 4\n\nPEDAL\nBourdon 16\n")
	require.Len(t, l.Divisions, 2)
	require.Equal(t, 36+60, l.Divisions[0].HighKey)
	require.Equal(t, 36+31, l.Divisions[1].HighKey)
}

// A mixture that grows is printed with the ranks of its lowest key; the others come in above.
func TestPrintedRanksGrow(t *testing.T) {
	l := Read("GREAT\nOpen Diapason 8\nPrincipal 4\nIV-VI Mixture (15.19.22.26)\n")
	require.Len(t, l.Divisions, 1)
	rows := l.Divisions[0].Stops[2].rows(36, 96)
	require.Equal(t, "C2: 2, 1 1/3, 1, 2/3, -, -", rows[0])
	require.NotContains(t, rows[2], "-", "two octaves up all six ranks sound")
}
