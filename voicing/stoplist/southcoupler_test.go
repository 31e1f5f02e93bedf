package stoplist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Couplers as builders of Italy and Spain print them (common practice); what they say is written out by hand.
func TestSouthernCouplers(t *testing.T) {
	const organ = "I. Cadereta\nBordón 8'\nII. Órgano Mayor\nFlautado 8'\nIII. Recitativo expresivo\nGamba 8'\nVoz celeste 8'\nPedal\nSubbajo 16'\nAcoplamientos\n"
	for text, want := range map[string][]string{
		"Acoplamientos en 8', 16' y 4' III/II": {"Recitativo expresivo to Órgano Mayor", "Recitativo expresivo sub-octave to Órgano Mayor", "Recitativo expresivo octave to Órgano Mayor"},
		"Acoplamientos al pedal: I, II":        {"Cadereta to Pedal", "Órgano Mayor to Pedal"},
		"III a II en octava grave":             {"Recitativo expresivo sub-octave to Órgano Mayor"},
		"III 16' II":                           {"Recitativo expresivo sub-octave to Órgano Mayor"},
		"I 4' P":                               {"Cadereta octave to Pedal"},
		"Pedale all'Espressivo":                {"Recitativo expresivo to Pedal"},
		"III-II 8ª acuta":                      {"Recitativo expresivo octave to Órgano Mayor"},
		"Unión III y II":                       {"Recitativo expresivo to Órgano Mayor"},
		"Superottave e subottave usuali":       {"Recitativo expresivo octave to Órgano Mayor", "Recitativo expresivo sub-octave to Órgano Mayor"},
	} {
		l := Read(organ + text + "\n")
		var got []string
		for _, c := range l.Couplers {
			got = append(got, l.couplerName(c))
		}
		require.Equal(t, want, got, text)
	}
}

// The halves of a keyboard by the words of several languages, with their keys.
func TestHandOf(t *testing.T) {
	for text, want := range map[string]string{
		"Mano izquierda": "bass", "Lado derecho (tiples):": "treble", "Mão Direita (Dó#3-Fá5)": "treble", "Registros de mano izquierda": "bass", "(m.d.)": "treble", "Soprani": "treble",
		"Ambas manos": "both", "Colonna di sinistra": "", "Flautado": "",
	} {
		require.Equal(t, want, handOf(text), text)
	}
	r := Read("Mão Esquerda (Dó1-Si2)\nFlautado 8'\nMão Direita (Dó3-Fá5)\nFlautado 8'\n")
	require.Equal(t, 60, r.Divisions[0].Stops[1].LowKey, "cut where the heading says")
}
