package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Printed lists of the nineteenth century lead with dots from the name to what the pipes are made of and to the length, and repeat both by signs:
// "2. Open Diapason . . . „ 8 „".

var (
	dittoSign = `(?:„|,,|"|″|”|''|(?i:do\.?|ditto\.?))`
	// materialRow is a line of such a table: name, material, length, the word for feet.
	materialRow = lazyregexp.New(`^(\s*(?:\d{1,3}[.)]?\s+)?\pL.*?)(?:[ .·]*\.[ .·]*|\s{2,}|\t+)\s*((?i:wood|oak|pine|metal|spotted metal|zinc|tin)(?: (?:and|&) (?:wood|metal))?\.?|` + dittoSign + `)[\s.·]+((?:\d{1,2}[ -]?)?[⅔⅓⅗½]|[1-5] \d/\d|[lI1]?\d|\d{1,2}|(?i:various|ranks?|[IVX]+ ranks))\s*(?i:feet|foot|ft|ranks?|` + dittoSign + `)?[.\s]*$`)
	// cutName is a counted line whose name goes on in the next: "12. Viol-di-".
	cutName = lazyregexp.New(`^\s*\d{1,3}[.)]\s+\pL[\pL \-]*\pL-\s*$`)
	dotsEnd = lazyregexp.New(`[ .·]+$`)
)

// withoutDittos writes such a table with each length and each wood behind its name; a name that is cut at the end of its line is put together.
func withoutDittos(lines []string) []string {
	out := slices.Clone(lines)
	rows, signs := 0, 0
	material := ""
	for i := range out {
		if cutName.MatchString(out[i]) && i+1 < len(out) && beginsWithLetter(strings.TrimSpace(out[i+1])) {
			out[i+1], out[i] = strings.TrimRight(out[i], " \t\r")+strings.TrimSpace(out[i+1]), ""
			continue
		}
		m := materialRow.FindStringSubmatch(out[i])
		if m == nil {
			continue
		}
		rows++
		if said := strings.ToLower(strings.Trim(m[2], ".")); said[0] >= 'a' && said[0] <= 'z' && said != "do" && said != "ditto" {
			material = said
		} else {
			signs++
		}
		name := dotsEnd.ReplaceAllString(m[1], "")
		if material == "wood" || material == "oak" || material == "pine" {
			name += " (wood)"
		}
		length := m[3]
		if strings.HasPrefix(strings.ToLower(length), "var") {
			length = ""
		}
		out[i] = strings.TrimRight(name+"  "+length, " ")
	}
	if rows < 4 || signs == 0 {
		return lines
	}
	return out
}
