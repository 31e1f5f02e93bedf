package voicing

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// minFeet and maxFeet bound the length of a rank (a 64 ft stop is the largest there is; the
// smallest rank of a high mixture is 1/8 ft).
const (
	minFeet = 0.125
	maxFeet = 64
)

// ParseFeet reads a pipe length in feet as it is engraved on a knob: "8", "2 2/3", "1 3/5'", "1/2".
func ParseFeet(s string) (float64, bool) {
	s = strings.TrimSpace(s)
	for _, mark := range []string{"'", "′", "’", "ft.", "ft", "feet"} {
		s = strings.TrimSpace(strings.TrimSuffix(s, mark))
	}
	for glyph, plain := range fractionGlyphs {
		s = strings.Replace(s, glyph, " "+plain, 1)
	}
	sum, parts := 0.0, strings.Fields(s)
	if len(parts) == 0 || len(parts) > 2 {
		return 0, false
	}
	for i, p := range parts {
		num, den, frac := strings.Cut(p, "/")
		if len(parts) == 2 && (i == 1) != frac {
			return 0, false
		}
		a, err := strconv.ParseFloat(num, 64)
		b := 1.0
		if err == nil && frac {
			b, err = strconv.ParseFloat(den, 64)
		}
		if err != nil || !(a > 0) || !(b > 0) {
			return 0, false
		}
		sum += a / b
	}
	if !(sum >= minFeet && sum <= maxFeet) {
		return 0, false
	}
	return sum, true
}

var fractionGlyphs = map[string]string{"½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅗": "3/5", "⅛": "1/8"}

// FeetText writes a length as it is engraved: "8", "2 2/3", "1 3/5".
func FeetText(feet float64) string {
	whole := math.Floor(feet + 1e-6)
	frac := feet - whole
	if math.Abs(frac) < 1e-6 {
		return strconv.FormatFloat(whole, 'f', -1, 64)
	}
	for den := 2.0; den <= 16; den++ {
		if num := math.Round(frac * den); math.Abs(frac-num/den) < 1e-3 {
			if whole == 0 {
				return fmt.Sprintf("%g/%g", num, den)
			}
			return fmt.Sprintf("%g %g/%g", whole, num, den)
		}
	}
	return strconv.FormatFloat(feet, 'f', 3, 64)
}

var feetAtEnd = lazyregexp.New(`(\d+ \d+/\d+|\d+/\d+|\d+)(?: ?['′’]| ?ft\.?)?$`)

// feetFromName is the length that the engraved name of a stop ends with.
func feetFromName(name string) (float64, bool) {
	m := feetAtEnd.FindStringSubmatch(name)
	if m == nil {
		return 0, false
	}
	return ParseFeet(m[1])
}

var keyPattern = lazyregexp.New(`^([A-Ga-g])([#b♯♭]?)(-?\d)$`)

// ParseKey reads a key name: C4 is middle C, MIDI key 60; C2 is the lowest key of a manual.
func ParseKey(s string) (int, bool) {
	m := keyPattern.FindStringSubmatch(strings.TrimSpace(s))
	if m == nil {
		return 0, false
	}
	pc := map[byte]int{'c': 0, 'd': 2, 'e': 4, 'f': 5, 'g': 7, 'a': 9, 'b': 11}[m[1][0]|0x20]
	switch m[2] {
	case "#", "♯":
		pc++
	case "b", "♭":
		pc--
	}
	oct, _ := strconv.Atoi(m[3])
	key := 12*(oct+1) + pc
	return key, key >= 0 && key <= 127
}

var keyNames = [12]string{"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

// KeyText writes a key as ParseKey reads it.
func KeyText(key int) string { return fmt.Sprintf("%s%d", keyNames[key%12], key/12-1) }
