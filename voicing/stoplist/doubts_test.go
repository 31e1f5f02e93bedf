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

// A number of stops that the text states is held against what was read: alike in any of the ways in which lists count, or doubted; a division's own
// number and two numbers that differ say nothing.
func TestStopsThatTheTextCounts(t *testing.T) {
	list := "Great\nOpen Diapason 8\nPrincipal 4\nSwell (enclosed)\nGedackt 8\nOboe 8\nTremulant\nPedal\nBourdon 16\nBass Flute 8 (ext.)\n"
	for _, c := range []struct{ line, doubt string }{
		{"An organ of 6 speaking stops.", ""},
		{"An organ of 5 speaking stops.", ""}, // without the extension
		{"An organ of 7 drawing stops.", ""},  // with the tremulant
		{"An organ of 14 speaking stops.", "the text speaks of 14 stops, and 6 were read"},
		{"Die Orgel hat 14 klingende Register.", "the text speaks of 14 stops, and 6 were read"},
		{"It had 14 stops until 1890, and has 20 stops today.", ""},
	} {
		doubts := Read(c.line + "\n\n" + list).Doubts()
		if c.doubt == "" {
			require.Empty(t, doubts, c.line)
		} else {
			require.Equal(t, []string{c.doubt}, doubts, c.line)
		}
	}
	require.Empty(t, Read("Great (14 stops)\n"+list[6:]).Doubts(), "a heading counts its division")
}

// Ranks that a copy left nothing before are the stop's: the name loses none of its letters and what stands behind is kept.
func TestRanksGluedToTheName(t *testing.T) {
	s := Read("Manual\nMixturIV 2'\nSesquialteraII, Quinte 2 2/3\nCornetIII-V\n").Divisions[0].Stops
	require.Len(t, s, 4)
	require.Equal(t, []any{"Mixtur", 4, 2.0}, []any{s[0].Name, s[0].Ranks, s[0].Feet})
	require.Equal(t, []any{"Sesquialtera", 2}, []any{s[1].Name, s[1].Ranks})
	require.Equal(t, "Quinte", s[2].Name)
	require.Equal(t, []any{"Cornet", 5, 3}, []any{s[3].Name, s[3].Ranks, s[3].Least})
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

// Stops under the heading of two manuals stand in both, once with pipes of their own (common practice of small German organs).
func TestSlidersOfTwoManuals(t *testing.T) {
	l := Read("I. Hauptwerk C-g3\nPrinzipal 8'\nII. Positiv\nQuintade 8'\nWechselschleifen I/II:\nGedackt 8'\nPedal\nSubbass 16'\nKoppeln: II/I")
	require.Len(t, l.Divisions, 3)
	require.Equal(t, "Gedackt", l.Divisions[0].Stops[1].Name)
	require.False(t, l.Divisions[0].Stops[1].Borrowed)
	require.Equal(t, "Gedackt", l.Divisions[1].Stops[1].Name)
	require.True(t, l.Divisions[1].Stops[1].Borrowed)
	require.Len(t, l.Divisions[1].Stops, 2)
}
