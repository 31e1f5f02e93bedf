package stoplist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// What makes a reading unlikely is said at its head; a usual organ raises no doubt (shares as common practice has them).
func TestUnlikelyReadingsAreDoubted(t *testing.T) {
	usual := "Manual\nPrincipal 8'\nGedackt 8'\nOctave 4'\n\nPedal\nSubbass 16'\nOctavbass 8'\n"
	require.Empty(t, Read(usual).Doubts())
	for _, c := range []struct{ name, list, doubt string }{
		{"no manual", "Pedal\nPrincipal 8'\nGedackt 8'\nOctave 4'\n", "all 3 stops stand in the pedal"},
		{"pedal without a 16 ft stop", "Manual\nGedackt 8'\nOctave 4'\nPedal\nPrincipal 8'\nFlöte 8'\nOctave 4'\nWaldflöte 2'\nMixtur 4f.\n", "none of 16 ft"},
		{"pedal stops in a manual", "Manual\nPrincipal 8'\nOctave 4'\nSubbass 16'\nViolonbass 16'\n", "usually stand in a pedal"},
		{"two keyboards in one", "Manual\nPrincipal 8'\nGedackt 8'\nOctave 4'\nPrincipal 8'\nGedackt 8'\nOctave 4'\n", "two keyboards may have been taken for one"},
		{"a manual too few", "Orgel mit\n2 Manuale und Pedal\n\nHauptwerk\nPrincipal 8'\nOctave 4'\n", "speaks of 2 manuals"},
	} {
		t.Run(c.name, func(t *testing.T) {
			doubts := Read(c.list).Doubts()
			require.Len(t, doubts, 1)
			require.Contains(t, doubts[0], c.doubt)
		})
	}
}

// Headings and blocks that were read wrongly without a word about it.
func TestStopsStandUnderTheirKeyboard(t *testing.T) {
	for _, c := range []struct {
		name, list string
		want       map[string]int // stops by division
	}{
		{"both keyboards are facts", "Manuale C-g3\nPedal C-f1\n\nPrincipal 8'\nGedackt 8'\nOctave 4'\n", map[string]int{"Manual": 3}},
		{"a pedal follows at once", "Manuale C-g3\nPedal C-f1\nSubbass 16'\nOctavbass 8'\n", map[string]int{"Pedal": 2}},
		{"the pedal's count begins again", "Manual\n1. Principal 8'\n2. Gedackt 8'\n3. Octave 4'\n1. Subbass 16'\n2. Flötbass 8'\n", map[string]int{"Manual": 3, "Pedal": 2}},
		{"headings below each other", "Grand-Orgue\nRécit\nPédale\nBourdon 8'   Gambe 8'   Soubasse 16'\nPrestant 4'   Flûte 4'   Flûte 8'\n", map[string]int{"Grand-Orgue": 2, "Récit": 2, "Pédale": 2}},
		{"headings in a row with the word organ", "Great Organ Swell Organ Pedal Organ\nOpen Diapason 8   Gamba 8   Bourdon 16\nPrincipal 4   Flute 4   Bass Flute 8\n", map[string]int{"Great": 2, "Swell": 2, "Pedal": 2}},
		{"a bracket on lines of its own", "Organo Espressivo\n(\nseconda tastiera\n)\nBordone 8'\nViola 8'\n", map[string]int{"Organo Espressivo": 2}},
	} {
		t.Run(c.name, func(t *testing.T) {
			got := map[string]int{}
			l := Read(c.list)
			for _, d := range l.Divisions {
				got[d.Name] = len(d.Stops)
			}
			require.Equal(t, c.want, got)
			require.Empty(t, l.Unread())
		})
	}
}

// The material of the pipes is no stop and no compass of its own.
func TestMaterialsAreNoStops(t *testing.T) {
	l := Read("Manual\nPrincipal, GG to D wood, the rest metal\nVox coelestis 8 ab c° Zink\nSalicional 8' | C … H Holz, ab c° Metall | im Schweller |\nVox coelestis 8' | ab c° Metall, schwebend | |\n")
	require.Len(t, l.Divisions, 1)
	var low []int
	for _, s := range l.Divisions[0].Stops {
		low = append(low, s.LowKey)
	}
	require.Equal(t, []int{0, 48, 0, 48}, low)
	require.Empty(t, l.Unread())
}
