package voicing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
)

// Cents from equal temperament, C to B, with A at 0, as a technical library for harpsichord tuners prints them, to the
// cent (hpschd.nu, Technical Library, Tuning VIII: Cent deviations, 2008).
func TestTemperamentsAgreeWithTunersTable(t *testing.T) {
	for name, cents := range map[string][12]float64{
		"quarter-comma meantone": {10, -14, 3, 20, -3, 14, -10, 7, -17, 0, 17, -7},
		"werckmeister iii":       {12, 2, 4, 6, 2, 10, 0, 8, 4, 0, 8, 4},
		"kirnberger iii":         {10, 1, 3, 4, -3, 8, 1, 7, 2, 0, 6, -2},
		"vallotti":               {6, 0, 2, 4, -2, 8, -2, 4, 2, 0, 6, -4},
		"equal":                  {},
	} {
		t.Run(name, func(t *testing.T) {
			got, ok := TemperamentByName(name)
			require.True(t, ok, name)
			for pc := range cents {
				// The table's Eb of meantone (20) is rounded down from 20.5.
				require.InDelta(t, cents[pc], got.Cents[pc], 0.56, "%s, pitch class %d", name, pc)
			}
		})
	}
}

// Frequency ratios to C built independently as products of powers, from the definition of each temperament.
func TestTemperamentsFromRatios(t *testing.T) {
	w := math.Pow(2, 0.25)
	for _, c := range []struct {
		name   string
		pc     int
		ratio  float64 // to C
		source string
	}{
		{"quarter-comma meantone", 7, math.Pow(5, 0.25), "G = 5^(1/4): four such fifths make a pure third (Barbour 1951)"},
		{"quarter-comma meantone", 4, 5.0 / 4, "E pure"},
		{"quarter-comma meantone", 8, 25.0 / 16, "G# two pure thirds"},
		{"kirnberger iii", 4, 5.0 / 4, "C-E pure"},
		{"kirnberger iii", 11, 15.0 / 8, "B a pure fifth over E"},
		{"kirnberger iii", 6, 45.0 / 32, "F# a pure fifth over B"},
		{"kirnberger iii", 8, 128.0 / 81, "Ab four pure fifths under C"},
		{"kirnberger iii", 1, 256.0 / 243, "Db five pure fifths under C"},
		{"werckmeister iii", 1, 256.0 / 243, "C#, Werckmeister's monochord (Barbour 1951)"},
		{"werckmeister iii", 2, 64.0 / 81 * math.Sqrt2, "D"},
		{"werckmeister iii", 4, 256.0 / 243 * w, "E"},
		{"werckmeister iii", 7, 8.0 / 9 * math.Pow(8, 0.25), "G"},
		{"werckmeister iii", 9, 1024.0 / 729 * w, "A"},
		{"werckmeister iii", 11, 128.0 / 81 * w, "B"},
		{"vallotti", 6, math.Pow(1.5, 6) / 8 * math.Pow(math.Pow(2, 19)/math.Pow(3, 12), 5.0/6), "F# six fifths over C, five of them tempered"},
	} {
		t.Run(c.name, func(t *testing.T) {
			tm, _ := TemperamentByName(c.name)
			got := float64(100*c.pc) + tm.Cents[c.pc] - tm.Cents[0]
			require.InDelta(t, 1200*math.Log2(c.ratio), got, 1e-6, "%s: %s", c.name, c.source)
		})
	}
}

// A4 = 440 Hz (ISO 16:1975); low C of 8, 16, 32 ft 65.4, 32.7, 16.35 Hz (common practice).
func TestKeyPitch(t *testing.T) {
	o := &Organ{PitchHz: 440}
	require.InDelta(t, 440, o.KeyHz(69), 1e-9)
	require.InDelta(t, 261.626, o.KeyHz(60), 5e-4)
	require.InDelta(t, 65.406, o.KeyHz(36), 5e-4)
	for _, n := range Temperaments() {
		o.Temperament, _ = TemperamentByName(n)
		require.InDelta(t, 440, o.KeyHz(69), 1e-9, n)
	}
}
