package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Lists shorten names in two ways: they cut a word off behind a full stop ("Rohrfl.", "Op. Diap.", "V. Angelica"), or leave its vowels out
// ("Bdn", "Trpt"). A shortened name means the known name whose words begin as its words do.

// cutWord is a word cut off behind a full stop.
var cutWord = lazyregexp.New(`\pL\.(?:$|[ \pL\-])`)

// isShortened tells whether a name has a word that is cut off, or is a word without vowels.
func isShortened(name string) bool {
	return cutWord.MatchString(name) || withoutVowels(name)
}

// withoutVowels tells whether a name is one word of three to five consonants, not all capitals.
func withoutVowels(name string) bool {
	key := fold(name)
	return len(key) >= 3 && len(key) <= 5 && !strings.ContainsAny(key, "aeiou0123456789") && !capitals(name)
}

// smallWords stand within names and are left out in short.
var smallWords = map[string]bool{"da": true, "de": true, "di": true, "du": true, "d": true, "of": true, "la": true, "le": true, "a": true}

// nameWords are the folded words of a name, without the small ones.
func nameWords(name string) []string {
	words := strings.FieldsFunc(name, func(c rune) bool { return strings.ContainsRune(" .-/()", c) })
	var out []string
	for _, w := range words {
		if w = strings.ToLower(w); smallWords[w] && len(words) > 1 {
			continue
		}
		if w = fold(w); w != "" {
			out = append(out, w)
		}
	}
	return out
}

// notNames are words that are shortened in lists and are no stops: "17 Reg.", "2 Man."
var notNames = []string{"trem", "tremul", "kopp", "reg", "man", "ped", "no", "nr", "anm", "bem", "st", "op", "ca", "ch", "tast", "manual", "div", "comb", "acc", "cop", "sup", "super", "sub", "oct gr", "wind", "koppel"}

// longForm is the known name that a shortened one stands for, and what it means; nil where there is none.
func (t *nameTable) longForm(name string, a asked) (*Kind, string) {
	words := nameWords(name)
	if len(words) == 0 || slices.Contains(notNames, strings.Join(words, " ")) && !strings.HasPrefix(strings.ToLower(name), "subb") {
		return nil, ""
	}
	joined := strings.Join(words, "")
	if strings.HasSuffix(joined, "b") && len(joined) > 3 { // "Subb.", "Oktavb."
		if k := t.best(joined+"as", a); k != nil {
			return k, t.spelled(joined + "as")
		}
		for _, short := range withoutBass(joined + "as") {
			if k := t.best(short, a); k != nil {
				return k, t.spelled(short) + "bass"
			}
		}
	}
	var found *Kind
	var as string
	top := 0.0
	for _, n := range t.names[joined[0]] {
		if !beginAlike(words, joined, n.words, n.key) {
			continue
		}
		k, score := t.scored(n.key, a)
		score -= 0.03*float64(len(n.key)) + 0.02*float64(min(n.place, 20)) // the plainest and most usual
		if len(words) == 1 && !strings.HasPrefix(n.key, joined) {
			score -= 0.3 * float64(len(n.key)-len(joined))
		}
		if n.lang == a.lang {
			score += 0.5
		}
		if found == nil || score > top+1e-9 || score > top-1e-9 && n.name < as {
			found, as, top = k, n.name, score
		}
	}
	return found, as
}

// typed is the known name that words stand for which are cut off without full stops, as they are typed in haste: "st diap", "liebl ged", "Sal".
func (t *nameTable) typed(name string, a asked) (*Kind, string) {
	words := nameWords(name)
	short := 0
	for _, w := range words {
		if len(w) < 2 || len(w) > 6 || strings.ContainsAny(w, "0123456789") || notTyped[w] || refOf(w).known() && len(words) == 1 {
			return nil, ""
		}
		short += len(w)
	}
	if len(words) == 0 || len(words) > 3 || short < 3 && !strings.EqualFold(name, "fl") && !strings.EqualFold(name, "pr") {
		return nil, ""
	}
	return t.longForm(name, a)
}

// notTyped are words of two letters and more that are short for nothing.
var notTyped = map[string]bool{"al": true, "and": true, "are": true, "au": true, "aus": true, "avec": true, "con": true, "das": true, "de": true, "del": true, "dem": true, "den": true, "der": true, "des": true, "di": true, "die": true, "do": true, "du": true, "el": true, "en": true, "et": true, "fa": true, "for": true, "from": true, "has": true, "in": true, "la": true, "le": true, "les": true, "met": true, "mi": true, "mit": true, "of": true, "par": true, "per": true, "por": true, "pour": true, "re": true, "si": true, "sol": true, "sur": true, "the": true, "til": true, "till": true, "und": true, "ut": true, "van": true, "von": true, "was": true, "with": true}

// beginAlike tells whether the words of a shortened name, folded, begin the words of a known one.
func beginAlike(short []string, joined string, known []string, key string) bool {
	if len(short) == 1 {
		switch {
		case len(joined) < 2 || len(known) > 2:
			return false
		case strings.HasPrefix(key, joined):
			return true
		}
		return len(known) == 1 && !strings.ContainsAny(joined, "aeiou") && leavesVowelsOut(key, joined)
	}
	if len(known) == 1 && len(joined) >= 4 && strings.HasPrefix(key, joined) { // "Sub B."
		return true
	}
	if len(short) != len(known) || len(joined) < 4 {
		return false
	}
	for i, w := range short {
		if !strings.HasPrefix(known[i], w) && !(withoutVowels(w) && leavesVowelsOut(known[i], w)) {
			return false
		}
	}
	return true
}

// contracted is the known word that a key of four letters and more is made of by leaving letters out within: "Mtre", "Dblette".
func (t *nameTable) contracted(key string, a asked) (*Kind, string) {
	if len(key) < 4 {
		return nil, ""
	}
	best := ""
	for _, n := range t.names[key[0]] {
		if len(n.words) != 1 || len(n.key) > len(key)*5/3 || len(n.key) <= len(key) || n.key[len(n.key)-1] != key[len(key)-1] || !hasInOrder(n.key, key) {
			continue
		}
		if best == "" || len(n.key) < len(best) || len(n.key) == len(best) && n.key < best {
			best = n.key
		}
	}
	if best == "" {
		return nil, ""
	}
	return t.best(best, a), t.spelled(best)
}

// leavesVowelsOut tells whether short is word without its vowels, and with half of its consonants at least, or two thirds where that is four and more.
func leavesVowelsOut(word, short string) bool {
	consonants := 0
	for i := range len(word) {
		if !strings.ContainsRune("aeiou", rune(word[i])) {
			consonants++
		}
	}
	return 2*len(short) >= consonants && (len(short) < 4 || 3*len(short) >= 2*consonants) && hasInOrder(word, short)
}

// hasInOrder tells whether the letters of short stand in word in their order, the first first.
func hasInOrder(word, short string) bool {
	if word == "" || word[0] != short[0] {
		return false
	}
	at := 0
	for i := 0; i < len(word) && at < len(short); i++ {
		if word[i] == short[at] {
			at++
		}
	}
	return at == len(short)
}
