package stoplist

import (
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// foldPairs are spellings that count as one: "Prinzipal" is "Principal", "Gedackt" "Gedact", "Floete" "Flöte", "Cymbel" "Zimbel".
var foldPairs = strings.NewReplacer("oi", "o", "dt", "t", "ae", "a", "oe", "o", "ue", "u", "œ", "o", "æ", "a", "ø", "o", "ß", "s", "ph", "f", "ck", "c", "k", "c", "z", "c", "y", "i")

// fold is the form in which names are compared: letters and digits without case, accents, hyphens, spaces and the spellings
// of foldPairs, double letters once.
func fold(s string) string {
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ToLower(s)) {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			b.WriteRune(r)
		}
	}
	if roman := b.String(); strings.Trim(roman, "ivx") == "" {
		return roman // XXIX is not XIX
	}
	var out []rune
	for _, r := range foldPairs.Replace(b.String()) {
		if n := len(out); n > 0 && out[n-1] == r && unicode.IsLetter(r) {
			continue
		}
		out = append(out, r)
	}
	return string(out)
}

// plain is s without case and accents, its words parted by one space.
func plain(s string) string {
	var b strings.Builder
	for _, r := range norm.NFD.String(strings.ToLower(s)) {
		if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// oneEdit tells whether a and b differ by one letter added, dropped or changed, or two neighbours changed over.
func oneEdit(a, b string) bool {
	x, y := []rune(a), []rune(b)
	if len(x) > len(y) {
		x, y = y, x
	}
	if len(y)-len(x) > 1 {
		return false
	}
	i := 0
	for i < len(x) && x[i] == y[i] {
		i++
	}
	tail := func(p, q int) bool { return string(x[min(p, len(x)):]) == string(y[min(q, len(y)):]) }
	if len(x) < len(y) {
		return tail(i, i+1)
	}
	if i+1 < len(x) && x[i] == y[i+1] && x[i+1] == y[i] && tail(i+2, i+2) {
		return true
	}
	return tail(i+1, i+1)
}
