package stoplist

import (
	"fmt"
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// divisionWind is the wind of one division, which is told when all divisions are known.
type divisionWind struct {
	of ref
	mm float64
}

var (
	// windLabel stands before the pressures of several divisions.
	windLabel = lazyregexp.New(`(?i)^(?:die |the )?(?:wind ?pressures?|wind ?dr[uü]cke?|winddruk|wind|pressions?(?: du vent)?|pressione(?: del vento)?|pressioni)(?: \([\pL ]+\))?(?: are| is)?[: ]`)
	// onePressure is a pressure and what stands before it.
	onePressure = lazyregexp.New(`(?i)([\pL .&+/()-]+?)[:= ]+(?:(\d{2,3})(?:[.,]\d)? ?(?:mm)?|(\d{1,2}(?: \d/\d|\.\d+)?)(?: ?(?:to|-) ?\d{1,2}(?: \d/\d|\.\d+)?)? ?(?:'|"|inches|inch|ins?\b))(?:[^,;]*)$`)
	// reedsAlone is said of a pressure that is not the whole division's.
	reedsAlone = lazyregexp.New(`\b(?:reeds?|zungen|tubas?|anches|ance|tongwerken|chorus)\b`)
	// pressureFirst is a pressure and behind it what stands on it: "94 mm WS (Manuale)", "80 mm im Pedal".
	pressureFirst = lazyregexp.New(`(?i)\b(\d{2,3})(?:[.,]\d)? ?mm ?(?:ws|wc|ca|wassersäule)? ?(?:\(([\pL .+&/]+)\)|(?:im|in den|für das|für die|on the|for the|au|aux|à la|pour (?:le|la|les)) ([\pL.-]+))`)
	// pressuresInARow are those of several divisions parted by strokes, as these are behind them: "70/65/75 mm (HW/OW/Ped)".
	pressuresInARow = lazyregexp.New(`(?i)\b(\d{2,3}(?: ?/ ?\d{2,3})+) ?mm ?(?:ws|wc|ca|wassersäule)? ?\(([\pL .]+(?:/[\pL .]+)+)\)`)
	// manualsTogether are the keyboards together.
	manualsTogether = lazyregexp.New(`^(?:im |in den |der )?(?:manuale?n?|manualwerke?|manuals|manuels|claviers|manuali|klavieren)$`)
	inThe           = lazyregexp.New(`(?i)^(?:im|in der|auf dem|on the|in the|au|du|nel|in het|i) `)
	windAnd         = lazyregexp.New(`\s*(?:&|\+|/|\band\b|\bund\b|\bet\b|\ben\b|\be\b)\s*`)
)

// windsByDivision reads "Winddruck: HW 75 mm, RP 65 mm" and "Wind pressures: Pedal & Great fluework 3 1/2", Great reeds 7", Swell 4"". What is said
// of the reeds alone is left out: the pipes of a division stand on its flue work's wind.
func (l *List) windsByDivision(text string) (said []string) {
	m := windLabel.FindStringIndex(text)
	if m == nil {
		return nil
	}
	text = pressuresInARow.ReplaceAllStringFunc(text, func(row string) string {
		g := pressuresInARow.FindStringSubmatch(row)
		values, names := strings.Split(g[1], "/"), strings.Split(g[2], "/")
		if len(values) != len(names) {
			return row
		}
		for i := range names {
			names[i] += " " + strings.TrimSpace(values[i])
		}
		return strings.Join(names, ", ") + " mm"
	})
	text = pressureFirst.ReplaceAllString(text, "$2$3 $1 mm")
	if m = windLabel.FindStringIndex(text); m == nil {
		return nil
	}
	var found []divisionWind
	reeds, whole := false, false
	for _, part := range strings.FieldsFunc(text[m[1]:], func(c rune) bool { return c == ',' || c == ';' }) {
		p := onePressure.FindStringSubmatch(strings.Trim(part, " :"))
		if p == nil {
			continue
		}
		if reedsAlone.MatchString(plain(p[1])) {
			reeds = true
			said = append(said, "wind of "+strings.TrimSpace(p[1])+" not taken: a division stands on that of its flues")
			continue
		}
		mm := windOf(p[2], p[3])
		if mm == 0 {
			continue
		}
		for _, name := range windAnd.Split(strings.TrimSpace(p[1]), -1) {
			if manualsTogether.MatchString(plain(name)) {
				l.Facts.WindMM, whole = mm, true
				said = append(said, fmt.Sprintf("wind %g mm", mm))
				continue
			}
			words := strings.Fields(name)
			for n := len(words); n > 0; n-- { // "Great fluework"
				if of := refOf(strings.Trim(strings.Join(words[:n], " "), ".:")); of.known() {
					found = append(found, divisionWind{of, mm})
					said = append(said, fmt.Sprintf("wind of %s %g mm", inThe.ReplaceAllString(name, ""), mm))
					break
				}
			}
		}
	}
	if len(found) == 0 || len(found) == 1 && !reeds && !whole {
		return nil
	}
	l.winds = append(l.winds, found...)
	return said
}

// giveWinds gives the divisions the wind that was said of each.
func (l *List) giveWinds() {
	for _, w := range l.winds {
		if i := l.resolve(w.of); i >= 0 && l.Divisions[i].WindMM == 0 {
			l.Divisions[i].WindMM = w.mm
		}
	}
	if len(l.winds) > 0 && l.Facts.WindMM == 0 { // what the others stand on
		l.Facts.WindMM = slices.MinFunc(l.winds, func(a, b divisionWind) int { return int(a.mm - b.mm) }).mm
		if main := l.main(); main >= 0 && l.Divisions[main].WindMM > 0 {
			l.Facts.WindMM = l.Divisions[main].WindMM
		}
	}
}

const inches = `\d{1,2}(?:[ \-]\d/\d|\.\d+)? ?(?:"|''|ins?\.|inch(?:es)?\b)`

var (
	// inchesOfWind are pressures before the word that says so, `7 1/2" and 10" wind`: their sign is not the one of feet.
	inchesOfWind = lazyregexp.New(`(?i)` + inches + `(?: ?(?:and|&|,|/|-|to|;)? ?` + inches + `)* ?(?:of )?(?:static )?(?:wind|pressure|w\.? ?p\b|w\.? ?g\b|w\.? ?c\b|water)`)
	inchSign     = lazyregexp.New(`(\d) ?(?:"|'')`)
)
