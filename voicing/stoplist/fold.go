package stoplist

import (
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// foldPairs are spellings that count as one: "Prinzipal" is "Principal", "Gedackt" "Gedact", "Floete" "Flöte", "Cymbel" "Zimbel", "Flöjt" and
// "Fløjte" are "Flöte", "Kvint" is "Quint".
var foldPairs = strings.NewReplacer("fløyte", "flote", "fløjte", "flote", "fløjt", "flote", "flojte", "flote", "flojt", "flote", "kv", "qu", "qv", "qu", "oi", "o", "dt", "t", "ae", "a", "oe", "o", "ue", "u", "ł", "l", "đ", "d", "œ", "o", "æ", "a", "ø", "o", "ß", "s", "ph", "f", "ck", "c", "k", "c", "z", "c", "y", "i")

// fold is the form in which names are compared: letters and digits without case, accents, hyphens, spaces and the spellings
// of foldPairs, double letters once.
func fold(s string) string { return folded.of(s, foldText) }

var folded textMemo[string]

func foldText(s string) string {
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
		switch {
		case r == 'ł':
			b.WriteRune('l')
		case r == 'œ':
			b.WriteString("oe")
		case !unicode.Is(unicode.Mn, r):
			b.WriteRune(r)
		}
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// spellings are known words, to be found with one wrong letter.
type spellings struct {
	known map[string]bool
	begin map[byte][]string   // by their first byte, in order
	tails map[string][]string // by all but their first letter, in order
}

func spellingsOf(words []string) *spellings {
	s := &spellings{map[string]bool{}, map[byte][]string{}, map[string][]string{}}
	for _, w := range words {
		if w != "" {
			s.known[w] = true
		}
	}
	for _, w := range slices.Sorted(maps.Keys(s.known)) {
		s.begin[w[0]] = append(s.begin[w[0]], w)
		_, n := utf8.DecodeRuneInString(w)
		s.tails[w[n:]] = append(s.tails[w[n:]], w)
	}
	return s
}

// nearest is the first known word of least bytes and more that differs from word, which is not empty, by one letter, best by one that word lacks; "" where there is none.
func (s *spellings) nearest(word string, least int) string {
	nearest := ""
	first := func(known []string) {
		for _, k := range known {
			if len(k) < least || !oneEdit(k, word) {
				continue
			}
			longer, already := len(k) > len(word), len(nearest) > len(word)
			if nearest == "" || longer && !already || longer == already && k < nearest {
				nearest = k
			}
		}
	}
	first(s.begin[word[0]])
	one, n := utf8.DecodeRuneInString(word)
	two, m := utf8.DecodeRuneInString(word[n:])
	first(s.tails[word[n:]])                                                       // another first letter
	first(s.tails[word])                                                           // one letter less before it
	for _, k := range []string{word[n:], string(two) + string(one) + word[n+m:]} { // one more, or two changed over
		if s.known[k] {
			first([]string{k})
		}
	}
	return nearest
}

// oneEdit tells whether a and b differ by one letter added, dropped or changed, or two neighbours changed over.
func oneEdit(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	for i > 0 && i < len(b) && !utf8.RuneStart(b[i]) {
		i--
	}
	x, y := a[i:], b[i:]
	_, n := utf8.DecodeRuneInString(x)
	_, m := utf8.DecodeRuneInString(y)
	if x[n:] == y[m:] || x == y[m:] || x[n:] == y {
		return true
	}
	_, n2 := utf8.DecodeRuneInString(x[n:])
	_, m2 := utf8.DecodeRuneInString(y[m:])
	return n2 > 0 && m2 > 0 && x[:n] == y[m:m+m2] && x[n:n+n2] == y[:m] && x[n+n2:] == y[m+m2:]
}
