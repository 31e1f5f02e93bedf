package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// A scanned leaflet has letters where figures stood and figures where letters stood.

var (
	// figureInWord is a 1 or 0 between the letters of a word: "F1öte", "B0rdun".
	figureInWord = lazyregexp.New(`(\pL)([10])(\pL{2,}|\pL$)`)
	// capitalI is the letter l in a word in capitals: "RÉClT".
	capitalI = lazyregexp.New(`(\p{Lu})l(\p{Lu})`)
	// zeroAhead is "0ktave".
	zeroAhead = lazyregexp.New(`(^|[\s(.\-])0(\p{L}{4,})`)
	// figureAhead is a capital that looks like a figure: "8ourdon", "5ubbass".
	figureAhead = lazyregexp.New(`(^|[\s(])([856])(\p{Ll}{4,})`)
	// letterInLength is "l6'", "1O 2/3'".
	letterInLength = lazyregexp.New(`(^|[\s(])([lI|]6|1[Oo])('|’|′|´|"|”| ?ft\b| 2/3|$|\s)`)
	// letterInManual is the number of a manual with the letter l for the figure I: "Il/P", "ll/l", "ll. Manual".
	letterInManual = lazyregexp.New(`(^|[\s,;(:])([Il]{1,3})( ?[/\-–] ?)([IlVP]{1,3})($|[\s,;).])`)
	letterInNumber = lazyregexp.New(`^(\s*)([Il]{1,3})(\.? ?(?:Man|Klav|Clav|Tast|Tecl))`)
	// letterInFraction is "1 l/3'", letterInPressure "8O mm".
	letterInFraction = lazyregexp.New(`(^|\s)[lI|]/([357])\b`)
	letterInPressure = lazyregexp.New(`(\d)[Oo] ?mm\b`)
	// brokenFraction is "2 2/ 3", "2 2 /3".
	brokenFraction = lazyregexp.New(`(^|\s)([1-4])(?:/ | /|\\)([23579])('|’|′|´|"|”|\s|$)`)
)

// keyAndWord may stand behind the name of a key: "c1bis f3".
var keyAndWord = map[string]bool{"bis": true, "to": true, "tot": true}

var alike10 = map[string][2]string{"1": {"l", "L"}, "0": {"o", "O"}}

// misread writes what a scan mistook as it was printed.
func misread(line string) string {
	if strings.ContainsAny(line, "10") {
		line = figureInWord.ReplaceAllStringFunc(line, func(m string) string {
			g := figureInWord.FindStringSubmatch(m)
			if keyAndWord[strings.ToLower(g[3])] {
				return m
			}
			letter := alike10[g[2]][0]
			if g[3] == strings.ToUpper(g[3]) && g[1] == strings.ToUpper(g[1]) {
				letter = alike10[g[2]][1]
			}
			return g[1] + letter + g[3]
		})
		line = zeroAhead.ReplaceAllString(line, "${1}O$2")
	}
	line = figureAhead.ReplaceAllStringFunc(line, func(m string) string {
		g := figureAhead.FindStringSubmatch(m)
		if word := map[string]string{"8": "B", "5": "S", "6": "G"}[g[2]] + g[3]; known(word) {
			return g[1] + word
		}
		return m
	})
	line = capitalI.ReplaceAllString(line, "${1}I$2")
	line = letterInLength.ReplaceAllStringFunc(line, func(m string) string {
		return strings.NewReplacer("l6", "16", "I6", "16", "|6", "16", "1O", "10", "1o", "10").Replace(m)
	})
	line = letterInManual.ReplaceAllStringFunc(line, func(m string) string {
		return strings.ReplaceAll(m, "l", "I")
	})
	line = letterInNumber.ReplaceAllStringFunc(line, func(m string) string { // not in the word behind it: "I. Clavier"
		g := letterInNumber.FindStringSubmatch(m)
		return g[1] + strings.ReplaceAll(g[2], "l", "I") + g[3]
	})
	line = letterInFraction.ReplaceAllString(line, "${1}1/$2")
	line = letterInPressure.ReplaceAllString(line, "${1}0 mm")
	return brokenFraction.ReplaceAllString(line, "$1$2/$3$4")
}
