package voicing

import (
	"math"
	"sort"
)

// The commas by which fifths are tempered, cents.
var (
	pythagoreanComma = 12*1200*math.Log2(1.5) - 7*1200 // 23.460
	syntonicComma    = 1200 * math.Log2(81.0/80)       // 21.506
	schisma          = pythagoreanComma - syntonicComma
	pureFifth        = 1200 * math.Log2(1.5) // 701.955
)

// fifthsFromEb is the order in which temperings are listed: the fifth upwards from each note.
// The twelfth, G#-Eb, closes the circle and takes what is left.
var fifthsFromEb = [11]int{3, 10, 5, 0, 7, 2, 9, 4, 11, 6, 1} // Eb Bb F C G D A E B F# C#

// temper builds a temperament from how much narrower than pure each of the eleven fifths from
// Eb to G# is, cents; A is the note left where equal temperament has it.
func temper(name string, narrow [11]float64) Temperament {
	var c [12]float64
	pc, at := 3, 0.0
	for i, from := range fifthsFromEb {
		if from != pc {
			panic("voicing: fifths out of order")
		}
		c[pc] = at
		at += pureFifth - narrow[i] - 700
		pc = (pc + 7) % 12
	}
	c[pc] = at // G#
	a := c[9]
	for i := range c {
		c[i] -= a
	}
	return Temperament{Name: name, Cents: c}
}

// temperaments by the name used in descriptions.
var temperaments = func() map[string]Temperament {
	s4, p4, p6 := syntonicComma/4, pythagoreanComma/4, pythagoreanComma/6
	all := []Temperament{
		{Name: "equal"},
		// Eleven fifths narrow by a quarter of the syntonic comma, so that eight major thirds are
		// pure; the wolf is G#-Eb (Aron 1523; Barbour, Tuning and Temperament, 1951).
		temper("quarter-comma meantone", [11]float64{s4, s4, s4, s4, s4, s4, s4, s4, s4, s4, s4}),
		// C-G, G-D, D-A, A-E narrow by a quarter of the syntonic comma, F#-C# by the schisma
		// (Kirnberger, letter to Forkel, 1779; Barbour 1951).
		temper("kirnberger iii", [11]float64{3: s4, 4: s4, 5: s4, 6: s4, 9: schisma}),
		// F-C, C-G, G-D, D-A, A-E, E-B narrow by a sixth of the Pythagorean comma, the others
		// pure (Vallotti 1779; Barbour 1951).
		temper("vallotti", [11]float64{2: p6, 3: p6, 4: p6, 5: p6, 6: p6, 7: p6}),
		// C-G, G-D, D-A, B-F# narrow by a quarter of the Pythagorean comma, the others pure
		// (Werckmeister, Musicalische Temperatur, 1691; Barbour 1951).
		temper("werckmeister iii", [11]float64{3: p4, 4: p4, 5: p4, 8: p4}),
	}
	m := map[string]Temperament{}
	for _, t := range all {
		m[t.Name] = t
	}
	return m
}()

// TemperamentByName finds a temperament by the name used in descriptions.
func TemperamentByName(name string) (Temperament, bool) {
	t, ok := temperaments[name]
	return t, ok
}

// Temperaments lists the names that TemperamentByName knows, sorted.
func Temperaments() []string {
	var names []string
	for n := range temperaments {
		names = append(names, n)
	}
	sort.Strings(names)
	return names
}

// KeyHz is the pitch of a key at 8 ft, Hz, in the organ's pitch standard and temperament.
func (o *Organ) KeyHz(key int) float64 {
	cents := o.Temperament.Cents[((key%12)+12)%12]
	return o.PitchHz * math.Exp2((float64(key-69)+cents/100)/12)
}
