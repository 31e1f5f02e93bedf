package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// knobNumeral is a Roman numeral at the head of a line.
var knobNumeral = lazyregexp.New(`^(\s*)([ivxlIVXL]{1,7})[.)]?(\s+\S.*)$`)

// withoutKnobNumerals takes the Roman numerals away by which a list counts its couplers and tremulants beside the stops, "xii  Tremulant", "II. Swell to
// Great   III. Choir to Great": each stands once, hardly one is left out, and none of them counts a stop.
func withoutKnobNumerals(lines []string) []string {
	out := slices.Clone(lines)
	counted := map[int]bool{}
	for i, l := range lines {
		var kept strings.Builder
		at := 0
		for _, sep := range append(gap.FindAllStringIndex(l, -1), []int{len(l), len(l)}) {
			cell := l[at:sep[0]]
			m := knobNumeral.FindStringSubmatch(cell)
			if m == nil && numeralAlone.MatchString(cell) && sep[1] < len(l) { // a numeral in a cell of its own
				continue
			}
			if m != nil {
				n, rest := romanNumber(strings.ToUpper(m[2])), strings.TrimSpace(m[3])
				if n > 0 && !counted[n] && couplesOrShakes(tidy(rest)) && !beginsWithManual(rest) {
					counted[n] = true
					cell = m[1] + rest
				}
			}
			kept.WriteString(cell + l[sep[0]:sep[1]])
			at = sep[1]
		}
		out[i] = kept.String()
	}
	highest := 0
	for n := range counted {
		highest = max(highest, n)
	}
	if len(counted) < 3 || highest > len(counted)+2 {
		return lines
	}
	return out
}

// numeralAlone is a Roman numeral and nothing else.
var numeralAlone = lazyregexp.New(`^\s*[ivxlIVXL]{1,7}[.)]?$`)

// couplesOrShakes tells whether a text is a coupler or a tremulant, also one that says no more than how a manual acts on itself.
func couplesOrShakes(text string) bool {
	low := strings.Trim(plain(text), " .")
	return looksLikeCoupler(text) || tremulantText.MatchString(text) || onItself.MatchString(low) || octaveOnly.MatchString(low) || low == "unison off"
}
