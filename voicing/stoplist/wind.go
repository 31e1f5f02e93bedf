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
	windLabel = lazyregexp.New(`(?i)^(?:die |the )?(?:wind ?pressures?|wind ?dr[uü]cke?|winddruk|wind|pressions?(?: du vent)?|pressione(?: del vento)?|pressioni)(?: \(\pL+\))?(?: are| is)?[: ]`)
	// onePressure is a pressure and what stands before it.
	onePressure = lazyregexp.New(`(?i)([\pL .&+/()-]+?)[:= ]+(?:(\d{2,3})(?:[.,]\d)? ?(?:mm)?|(\d{1,2}(?: \d/\d|\.\d+)?)(?: ?(?:to|-) ?\d{1,2}(?: \d/\d|\.\d+)?)? ?(?:'|"|inches|inch|ins?\b))(?:[^,;]*)$`)
	// amountFirst is "85 mm pour la pédale", and allKeyboards what goes for all manuals.
	amountFirst  = lazyregexp.New(`(?i)^(\d{2,3}) ?mm (?:pour |au |à |aux )(?:le |la |les )?([\pL. -]+)$`)
	allKeyboards = lazyregexp.New(`(?i)^ ?(?:les |die |the )?(?:manuels|claviers|manuals|manuale)$`)
	// reedsAlone is said of a pressure that is not the whole division's.
	reedsAlone = lazyregexp.New(`\b(?:reeds?|zungen|tubas?|anches|ance|tongwerken|chorus)\b`)
	windAnd    = lazyregexp.New(`\s*(?:&|\+|/|\band\b|\bund\b|\bet\b|\ben\b|\be\b)\s*`)
)

// windsByDivision reads "Winddruck: HW 75 mm, RP 65 mm" and "Wind pressures: Pedal & Great fluework 3 1/2", Great reeds 7", Swell 4"". What is said
// of the reeds alone is left out: the pipes of a division stand on its flue work's wind.
func (l *List) windsByDivision(text string) (said []string) {
	m := windLabel.FindStringIndex(text)
	if m == nil {
		return nil
	}
	var found []divisionWind
	reeds := false
	for _, part := range strings.FieldsFunc(text[m[1]:], func(c rune) bool { return c == ',' || c == ';' }) {
		part = amountFirst.ReplaceAllString(strings.Trim(part, " :"), "$2: $1 mm")
		p := onePressure.FindStringSubmatch(part)
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
		if allKeyboards.MatchString(p[1]) {
			l.Facts.WindMM = mm
			said = append(said, fmt.Sprintf("wind %g mm", mm))
			continue
		}
		for _, name := range windAnd.Split(strings.TrimSpace(p[1]), -1) {
			words := strings.Fields(name)
			for n := len(words); n > 0; n-- { // "Great fluework"
				if of := refOf(strings.Trim(strings.Join(words[:n], " "), ".:")); of.known() {
					found = append(found, divisionWind{of, mm})
					said = append(said, fmt.Sprintf("wind of %s %g mm", name, mm))
					break
				}
			}
		}
	}
	if len(found) == 0 || len(found) == 1 && !reeds && l.Facts.WindMM == 0 {
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
