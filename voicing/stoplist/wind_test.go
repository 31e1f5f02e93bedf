package stoplist

import (
	"testing"

	"github.com/stretchr/testify/require"
)

const twoManuals = "Great\nOpen Diapason 8\nPrincipal 4\nSwell (enclosed)\nGedackt 8\nOboe 8\nPedal\nBourdon 16\n"

// Each division stands on the wind that the list gives it; what is said of reeds alone is not the division's (1 inch = 25.4 mm).
func TestWindIsTheDivisions(t *testing.T) {
	for _, c := range []struct {
		line string
		want []float64 // great, swell, pedal
	}{
		{`Wind pressures: Pedal & Great fluework 3 1/2", Great reeds 7", Swell 4"`, []float64{89, 102, 89}},
		{"Winddruck: Gt 75 mm WS, Sw 80 mm, Ped 90 mm", []float64{75, 80, 90}},
		{`Wind pressure 3 1/2" throughout`, []float64{0, 0, 0}},
	} {
		l := Read(twoManuals + c.line)
		require.Empty(t, l.Unread(), c.line)
		var got []float64
		for _, d := range l.Divisions {
			got = append(got, d.WindMM)
		}
		require.Equal(t, c.want, got, c.line)
		require.NotZero(t, l.Facts.WindMM, c.line)
	}
}

// Compasses in the ways English and Italian lists print them (common practice).
func TestCompassesOfALine(t *testing.T) {
	for _, c := range []struct {
		line                        string
		low, high, pedal, pedalHigh int
	}{
		{"Compass 61/32", 36, 96, 36, 67},
		{"3 composition pedals to Gt; manuals CC to g''' (56 notes), ped CCC to f (30)", 36, 91, 36, 65},
		{"Manuals CC-a, Pedals CCC-f", 36, 93, 36, 65},
		{"Tastiera di 50 tasti (Do1-Fa5) con prima ottava corta; pedaliera di 17 tasti (Do1-Sol#2)", 36, 89, 36, 56},
	} {
		f := Read(twoManuals + c.line).Facts
		require.Equal(t, []int{c.low, c.high, c.pedal, c.pedalHigh}, []int{f.ManualLow, f.ManualHigh, f.PedalLow, f.PedalHigh}, c.line)
	}
}

// One line that heads all columns stands over the cells of a table in their order, with colons or without.
func TestOneLineHeadsATable(t *testing.T) {
	for _, head := range []string{"Hoofdwerk (manuaal II): Bovenwerk (manuaal III): Rugpositief (manuaal I): Pedaal:", "Rugwerk Hoofdwerk Bovenwerk Pedaal"} {
		l := Read(head + "\nPrestant 8 vt\tFluit 4 vt\tGedekt 8 vt\tBourdon 16 vt\nOctaaf 4 vt\tQuint 3 vt\t\tPrestant 8 vt\n")
		require.Len(t, l.Divisions, 4, head)
		for _, d := range l.Divisions {
			require.NotEmpty(t, d.Stops, head)
		}
		require.Equal(t, 16.0, l.Divisions[3].Stops[0].Feet)
	}
}
