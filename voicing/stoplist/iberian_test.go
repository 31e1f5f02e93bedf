package stoplist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Degrees on the knobs of Iberian organs: a 19th is a 1 1/3 ft, a 22nd a 1 ft (common practice).
func TestIberianDegrees(t *testing.T) {
	for text, want := range map[string]string{
		"Composta de 19ª e 22ª":     "Composta 1 1/3' 2 hileras",
		"Lleno en 15ª 4 hileras":    "Lleno 2' 4 hileras",
		"Nasardos 12ª, 15ª y 17ª":   "Nasardos 2 2/3' 3 hileras",
		"Dezanovena e 22ª":          "XIX-XXII",
		"Nasardo 17ª":               "Nasardo 17ª",
		"Octava, Docena, 15ª y 19ª": "Octava, Docena, 15ª y 19ª",
	} {
		require.Equal(t, want, iberianDegrees(text))
	}
}

// Couplers in the words of Spain, Catalonia and Portugal.
func TestIberianCouplers(t *testing.T) {
	const organ = "I. Órgano Mayor\nFlautado 8'\nOctava 4'\nII. Recitativo expresivo\nGamba 8'\nViolón 8'\nPedal\nSubbajo 16'\n"
	for text, want := range map[string]string{
		"Acoblament II/I": "Recitativo expresivo to Órgano Mayor", "Acoplamento II/I": "Recitativo expresivo to Órgano Mayor", "Enganche I": "Órgano Mayor to Pedal",
		"Enganxament II/P": "Recitativo expresivo to Pedal", "Unión de teclados": "Recitativo expresivo to Órgano Mayor", "Octavas graves II": "Recitativo expresivo sub-octave", "Octavas agudas II/I": "Recitativo expresivo octave to Órgano Mayor",
	} {
		l := Read(organ + text + "\n")
		require.Len(t, l.Couplers, 1, text)
		require.Equal(t, want, l.couplerName(l.Couplers[0]), text)
	}
	require.False(t, Read(organ + "Pedal de expresión\n").Divisions[2].Enclosed, "that pedal works the box")
}
