package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// knobNumeral is a Roman numeral at the head of a line.
var knobNumeral = lazyregexp.New(`^(\s*)([ivxlIVXL]{1,7})[.)]?(\s+\S.*)$`)

// withoutKnobNumerals takes the Roman numerals away by which a list counts its couplers and tremulants beside the stops, "xii  Tremulant", "iv  Solo to
// Pedal": they follow each other through the whole list, and none of them counts a stop.
func withoutKnobNumerals(lines []string) []string {
	out := slices.Clone(lines)
	last := 0
	for i, l := range lines {
		m := knobNumeral.FindStringSubmatch(l)
		if m == nil || romanNumber(strings.ToUpper(m[2])) != last+1 {
			continue
		}
		if rest := strings.TrimSpace(m[3]); couplesOrShakes(tidy(rest)) && !beginsWithManual(rest) {
			last++
			out[i] = m[1] + strings.TrimSpace(m[3])
		}
	}
	if last < 3 {
		return lines
	}
	return out
}

// couplesOrShakes tells whether a text is a coupler or a tremulant, also one that says no more than how a manual acts on itself.
func couplesOrShakes(text string) bool {
	low := strings.Trim(plain(text), " .")
	return looksLikeCoupler(text) || tremulantText.MatchString(text) || onItself.MatchString(low) || octaveOnly.MatchString(low) || low == "unison off"
}
