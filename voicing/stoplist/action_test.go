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
