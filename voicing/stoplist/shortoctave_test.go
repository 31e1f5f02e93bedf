package stoplist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A keyboard whose lowest octave is short or broken is read as a whole one, and the reading says which keys were added (which keys such octaves
// leave out: common practice).
func TestMissingLowKeysAreSaid(t *testing.T) {
	const short = "printed without C#2, Eb2, F#2, Ab2: taken as there"
	for heading, want := range map[string]string{
		"Manual C, D, E, F, G, A–c3":                   short,
		"Hauptwerk CDEFGA–c3":                          short,
		"Hauptwerk C/E–c3":                             short,
		"Hauptwerk CDE–c3":                             "printed without C#2, Eb2: taken as there",
		"Hauptwerk CD–c3":                              "printed without C#2: taken as there",
		"Great GG, AA, C, D to e3":                     "printed without Ab1, Bb1, B1, C#2: taken as there",
		"Organo Mayor (octava corta, 45 notas)":        short,
		"Primo Manuale (45 tasti, prima ottava corta)": short,
		"Positif (Do1-Re5 senza Do#1)":                 "printed without C#2: taken as there",
		"Hauptwerk C–c3":                               "",
	} {
		list := Read(heading + "\nGedackt 8'\n")
		require.Equal(t, IsHeading, list.Lines[0].Readings[0].What, heading)
		require.Equal(t, want, list.Lines[0].Readings[0].Ask, heading)
	}
}

// A cornet with fewer ranks in the bass has a bass, and grows an octave at a time.
func TestGrowingCornetGoesThrough(t *testing.T) {
	source, _, err := Read("Hauptwerk C–c3\nPrincipal 8'\nCornett 3-5fach\n").Organ("trial")
	require.NoError(t, err)
	require.Contains(t, string(source), `mixture = ["C2: 8, 4, 2 2/3, -, -", "C3: 8, 4, 2 2/3, 2, -", "C4: 8, 4, 2 2/3, 2, 1 3/5"]`)
	require.NotContains(t, string(source), "from C4, as most are")
	source, _, err = Read("Hauptwerk C–c3\nPrincipal 8'\nCornett 5fach\n").Organ("trial")
	require.NoError(t, err)
	require.Contains(t, string(source), "from C4, as most are")
}

// An open principal of wood, and a soft bass that is the Subbaß on less wind.
func TestWoodenPrincipalAndBassOnLessWind(t *testing.T) {
	list := Read("Hauptwerk C–c3\nPrincipal 8'\nHolzprincipal 4'\nPedal C–d1\nSubbaß 16'\nZartbaß 16' (Windabschwächung)\n")
	require.Equal(t, "Open Diapason", list.Divisions[0].Stops[1].Kind.Name)
	require.False(t, list.Divisions[1].Stops[0].Borrowed)
	require.True(t, list.Divisions[1].Stops[1].Borrowed)
}

// Free and fixed combinations are counted in other words too.
func TestCombinationsAreCounted(t *testing.T) {
	for line, want := range map[string]int{
		"Två fria kombinationer":            2,
		"3 Kollektivtritte (p, f, Tutti)":   3,
		"Druckknöpfe: P, MF, F, TT":         4,
		"Fasta kombinationer":               0,
		"Druckknöpfe unter den Klaviaturen": 0,
	} {
		require.Equal(t, want, Read("Hauptwerk\nPrincipal 8'\nGedackt 8'\n"+line+"\n").Facts.Pistons, line)
	}
}
