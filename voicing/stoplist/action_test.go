package stoplist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// A description has three actions. Air in tubes is none of them: the electro-pneumatic is the nearest, with a longer delay, and the description says so;
// a Barker lever helps trackers (common practice).
func TestActionsThatADescriptionCannotSay(t *testing.T) {
	for text, want := range map[string][2]string{
		"Tubular-pneumatic action":                             {"electro-pneumatic", "tubular-pneumatic action"},
		"Röhrenpneumatik":                                      {"electro-pneumatic", "tubular-pneumatic action"},
		"Spieltraktur: pneumatisch, elektrisches Gebläse":      {"electro-pneumatic", "tubular-pneumatic action"},
		"Elektropneumatische Traktur":                          {"electro-pneumatic", ""},
		"Traction mécanique, machine Barker":                   {"tracker", "Barker levers"},
		"Spieltraktur mechanisch, Registertraktur pneumatisch": {"tracker", ""},
	} {
		source, o, err := Read("Hauptwerk\nPrincipal 8\nOctave 4\n" + text + "\n").Organ("trial")
		require.NoError(t, err)
		require.Equal(t, want[0], o.Divisions[0].Action.Kind, text)
		if want[1] == "" {
			require.NotContains(t, string(source), "is the nearest", text)
			continue
		}
		require.Contains(t, string(source), "# assumed: "+want[1], text)
		require.Equal(t, want[1] != "Barker levers", o.Divisions[0].Action.DelayS > 0.09, text)
	}
}

// Where nothing is said of the action, a console with tablets or many octave couplers is none of trackers; one of the nineteenth century is (common practice).
func TestActionAssumedFromTheConsole(t *testing.T) {
	const stops = "Great\nOpen Diapason 8\nPrincipal 4\nSwell\nGedackt 8\nFlute 4\nPedal\nBourdon 16\n"
	for text, want := range map[string]string{
		stops: "tracker",
		stops + "Couplers by coupler tablets\nSwell to Great\n": "electro-pneumatic",
		stops + "Cinema organ of 1931\n":                        "electro-pneumatic",
		stops + "Swell to Great\nSwell to Great 4\nSwell to Great 16\nSwell to Pedal 4\nSwell Octave\nSwell Sub Octave\n":                    "electro-pneumatic",
		stops + "Built in 1868\nSwell to Great\nSwell to Great 4\nSwell to Great 16\nSwell to Pedal 4\nSwell Octave\nSwell Sub Octave\n":     "tracker",
		stops + "Mechanical action\nSwell to Great\nSwell to Great 4\nSwell to Great 16\nSwell to Pedal 4\nSwell Octave\nSwell Sub Octave\n": "tracker",
	} {
		_, o, err := Read(text).Organ("trial")
		require.NoError(t, err)
		require.Equal(t, want, o.Divisions[0].Action.Kind, text)
	}
}

// A pedal that has Contras alone has few keys (common practice).
func TestPedalOfContras(t *testing.T) {
	for text, keys := range map[string]int{"Contras 16\nContras 8\n": 12, "Contras de 26\nBombardas\n": 12, "Contrabajo 16\nFlautado 8\n": 30} {
		list := Read("Órgano Mayor\nFlautado 8\nOctava 4\nQuincena 2\nPedal\n" + text)
		pedal := list.Divisions[len(list.Divisions)-1]
		require.True(t, pedal.Pedal, text)
		require.Equal(t, keys, pedal.HighKey-pedal.LowKey+1, text)
	}
}

// A description has no part of a division in a box: it stands whole where most of its stops do, and says so.
func TestPartOfADivisionInABox(t *testing.T) {
	list := Read("Great (1-4 enclosed)\n1 Open Diapason 8\n2 Stopped Diapason 8\n3 Dulciana 8\n4 Principal 4\n5 Fifteenth 2\n\nChoir\n(6-7 enclosed)\n6 Dulciana 8\n7 Flute 4\n8 Trumpet 8\n9 Gemshorn 4\n10 Fifteenth 2\n")
	inBox := map[string]bool{}
	for _, d := range list.Divisions {
		inBox[d.Name] = d.Enclosed
	}
	require.Equal(t, map[string]bool{"Great": true, "Choir": false}, inBox)
	require.Contains(t, list.Assumed, "of Great only the stops 1-4 stand in a swell box: here all do")
	require.Contains(t, list.Assumed, "of Choir only the stops 6-7 stand in a swell box: here none does")
	require.Equal(t, "Great, stops 1-4 in a swell box", list.Lines[0].Readings[0].Text)
}
