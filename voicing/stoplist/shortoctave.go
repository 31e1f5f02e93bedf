package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

var (
	// compassSaid is a compass as a reading says it: "C2-C6".
	compassSaid = lazyregexp.New(`\b[A-G]#?\d-[A-G]#?\d\b`)
	lowName     = lazyregexp.New(`FF|GG|AA|BB|HH|[A-H]`)
)

// lowKeys are the keys of the lowest octave as lists name them, and MIDI keys, C2 = 36.
var lowKeys = map[string]int{"FF": 29, "GG": 31, "AA": 33, "BB": 35, "HH": 35, "C": 36, "D": 38, "E": 40, "F": 41, "G": 43, "A": 45, "B": 47, "H": 47}

// keysOfShort are those that a short octave on C leaves out, and a broken one on C and D with it (common practice).
var keysOfShort = []int{37, 39, 42, 44}

// missingLow are the keys that each compass of a text leaves out at its low end, in the order of the text: "C, D, E-c3", "C/E-c3", "GG, AA, C, D to
// e3"; nil for a compass that leaves none out.
func missingLow(text string) (out [][]int) {
	for _, m := range compassText.FindAllStringSubmatch(text, -1) {
		low := strings.ToUpper(m[1])
		if low == "C/E" {
			out = append(out, keysOfShort)
			continue
		}
		var missing []int
		if names := lowName.FindAllString(low, -1); strings.Trim(lowName.ReplaceAllString(low, ""), "., ") == "" && names[0] != names[len(names)-1] {
			for i := 1; i < len(names); i++ {
				for key := lowKeys[names[i-1]] + 1; key < lowKeys[names[i]]; key++ {
					missing = append(missing, key)
				}
			}
		}
		out = append(out, missing)
	}
	return out
}

// lowAssumed says which keys the line that is being read leaves out at the low end of a compass: the model has them all. Of several headings in the
// line each has its own compass.
func (r *reader) lowAssumed(line *Line) string {
	text := tidy(line.Text)
	each := missingLow(text)
	before := 0
	for _, x := range line.Readings {
		if compassSaid.MatchString(x.Text) {
			before++
		}
	}
	var missing []int
	switch {
	case before < len(each):
		missing = each[before]
	case len(each) == 1:
		missing = each[0]
	}
	switch {
	case len(missing) > 0:
	case shortOctave.MatchString(text):
		missing = keysOfShort
	case withoutLowSharp.MatchString(text):
		missing = []int{37}
	default:
		return ""
	}
	names := make([]string, len(missing))
	for i, key := range missing {
		names[i] = voicing.KeyText(key)
	}
	return "printed without " + joinNames(names) + ": taken as there"
}
