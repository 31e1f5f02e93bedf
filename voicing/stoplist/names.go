package stoplist

import (
	_ "embed"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
	"afterchord/voicing/wordlist"
)

//go:embed names.txt
var namesText string

// Kind is what a name on a knob means: which pipes it is and how they are built.
type Kind struct {
	Name         string // in English: "Stopped Diapason"
	Family       voicing.Family
	Construction voicing.Construction
	Feet         []float64 // usual lengths, the likeliest first
	LevelDB      float64   // re the family's usual sound power
	BrightnessDB float64   // dB an octave
	Celeste      bool      // tuned off the others
	Soft         bool      // does not belong to the chorus
	Bass         bool      // a pedal stop
	Treble       bool      // begins at middle C where the list does not say
	Compound     string    // how the ranks of a compound stop are laid out: quint, tierce, cornet, ripieno; "" for one rank
	Names        map[string][]string
}

// knownName is one name of a kind.
type knownName struct {
	kind *Kind
	lang string
}

type nameTable struct {
	kinds     []*Kind
	names     map[byte][]spelledName // by the first byte of their folded forms and of their first words
	byKey     map[string][]knownName // by folded name
	joined    map[string]bool        // folded names that have a word for and between their parts however they are spelled
	found     memo[asked, foundName]
	near      textMemo[string]
	spellings *spellings
}

// spelledName is a known name in one language, its folded words and all of them as one, and its place among the kind's names.
type spelledName struct {
	name, lang string
	words      []string
	key        string
	place      int
}

var table = sync.OnceValue(func() *nameTable {
	t, err := readNames(namesText)
	if err != nil {
		panic(err) // a fault of the build, caught by the tests
	}
	return t
})

// readNames reads names.txt.
func readNames(text string) (*nameTable, error) {
	t := &nameTable{byKey: map[string][]knownName{}, joined: map[string]bool{}, names: map[byte][]spelledName{}}
	sections, err := wordlist.Read("names.txt", text)
	if err != nil {
		return nil, err
	}
	for _, s := range sections {
		k, err := readKind(s.Heading)
		if err != nil {
			return nil, fmt.Errorf("names.txt:%d: %w", s.Line, err)
		}
		for _, l := range s.Lists {
			if len(l.Label) != 2 {
				return nil, fmt.Errorf("names.txt:%d: %q is no language", l.Line, l.Label)
			}
			t.addNames(k, l.Label, l.Words)
		}
		t.kinds = append(t.kinds, k)
	}
	t.spellings = spellingsOf(slices.Collect(maps.Keys(t.byKey)))
	return t, nil
}

// readKind reads what a kind is: all but its names.
func readKind(line string) (*Kind, error) {
	f := strings.Split(line, "|")
	if len(f) != 7 {
		return nil, fmt.Errorf("%d columns, not 7", len(f))
	}
	for c := range f {
		f[c] = strings.TrimSpace(f[c])
	}
	k := &Kind{Name: f[0], Family: voicing.Family(f[1]), Construction: voicing.Construction(f[2]), Names: map[string][]string{}}
	for _, s := range strings.Fields(f[3]) {
		feet, ok := voicing.ParseFeet(strings.ReplaceAll(s, "+", " "))
		if !ok {
			return nil, fmt.Errorf("%q is no length", s)
		}
		k.Feet = append(k.Feet, feet)
	}
	var err1, err2 error
	k.LevelDB, err1 = strconv.ParseFloat(f[4], 64)
	k.BrightnessDB, err2 = strconv.ParseFloat(f[5], 64)
	if err1 != nil || err2 != nil {
		return nil, fmt.Errorf("level and brightness are numbers")
	}
	for _, flag := range strings.Fields(f[6]) {
		switch flag {
		case "celeste":
			k.Celeste = true
		case "soft":
			k.Soft = true
		case "bass":
			k.Bass = true
		case "treble":
			k.Treble = true
		case "quint", "tierce", "cornet", "ripieno":
			k.Compound = flag
		default:
			return nil, fmt.Errorf("unknown flag %q", flag)
		}
	}
	return k, nil
}

// addNames adds the names of a kind in one language.
func (t *nameTable) addNames(k *Kind, lang string, names []string) {
	for _, name := range names {
		if halfAtEnd.MatchString(name) {
			continue // halves are read from their words
		}
		k.Names[lang] = append(k.Names[lang], name)
		key := fold(name)
		t.joined[key] = andWord.MatchString(name) && (t.joined[key] || len(t.byKey[key]) == 0)
		t.byKey[key] = append(t.byKey[key], knownName{k, lang})
		t.addName(spelledName{name, lang, nameWords(name), fold(name), len(k.Names[lang])})
	}
}

// isTwo tells whether a name is in the table only with a word for and that it lacks: "Dozena e quinzena" is one knob, "Docena Quincena" two.
func (t *nameTable) isTwo(name string) bool {
	return t.joined[fold(name)] && strings.Contains(name, " ") && !strings.ContainsAny(name, "&+/-") && !andWord.MatchString(name)
}

func (t *nameTable) addName(n spelledName) {
	t.names[n.key[0]] = append(t.names[n.key[0]], n)
	if len(n.words) > 0 && n.words[0][0] != n.key[0] { // "La Trompette"
		t.names[n.words[0][0]] = append(t.names[n.words[0][0]], n)
	}
}

// halfAtEnd are the words that leave half of a compass.
var halfAtEnd = lazyregexp.New(`(?i) (?:ne' ?bassi|ne' ?soprani|bassi|soprani|soprano|soprana|soprane|bassa|treble|diskant|discant)$`)

// asked is what is known of a stop when its name is looked up.
type asked struct {
	feet  float64 // printed length; 0 for none
	ranks int     // printed number of ranks; 0 for none
	pedal bool
	lang  string // of the whole list; "" where it cannot be told
}

// best is the reading of a folded name that suits what else is known, or nil.
func (t *nameTable) best(key string, a asked) *Kind {
	k, _ := t.scored(key, a)
	return k
}

// scored is best with how well it suits.
func (t *nameTable) scored(key string, a asked) (found *Kind, top float64) {
	top = math.Inf(-1)
	for _, n := range t.byKey[key] {
		score := 0.0
		if a.feet > 0 {
			feet, usual := exactFeet(n.kind, a.feet)
			if usual {
				score += 2 - 0.3*float64(slices.Index(n.kind.Feet, feet))
			} else {
				score -= 3
			}
		}
		switch {
		case a.ranks > 1 && n.kind.Compound != "":
			score += 4
		case a.ranks > 1:
			score -= 4
		case n.kind.Compound == "cornet" && a.feet == 8 && !a.pedal: // the reed of that name is a 4 or 2 ft
		case n.kind.Compound != "":
			score--
		}
		if n.kind.Bass == a.pedal {
			score += 1.5
		}
		if n.lang == a.lang {
			score += 1.2
		}
		if score > top {
			found, top = n.kind, score
		}
	}
	return found, top
}

// endings read a name that is not in the table by how it ends or begins, the longest first where several fit.
var endings = []ending{
	{"celeste", "Vox coelestis"}, {"schwebung", "Schwebung"}, {"rohrflote", "Rohrflöte"}, {"flote", "Flöte"}, {"flotte", "Flöte"}, {"flute", "Flute"}, {"flauto", "Flauto"}, {"flauta", "Flauta"},
	{"fluit", "Fluit"}, {"gedackt", "Gedackt"}, {"gedeckt", "Gedackt"}, {"gedekt", "Gedackt"}, {"bourdon", "Bourdon"}, {"bordun", "Bordun"}, {"diapason", "Open Diapason"},
	{"principal", "Principal"}, {"prinzipal", "Principal"}, {"principaal", "Principal"}, {"principale", "Principal"}, {"prestant", "Prestant"}, {"flautado", "Flautado"}, {"octave", "Octave"},
	{"oktave", "Octave"}, {"oktav", "Octave"}, {"octaaf", "Octave"}, {"ottava", "Octave"}, {"octava", "Octave"}, {"gamba", "Gamba"}, {"gambe", "Gamba"}, {"viole", "Viola"}, {"viola", "Viola"}, {"viol", "Viola"}, {"violon", "Violon"},
	{"violine", "Violin"}, {"cello", "Cello"}, {"salicional", "Salicional"}, {"dulciana", "Dulciana"}, {"trompete", "Trompete"}, {"trompette", "Trompette"}, {"trompet", "Trompet"}, {"trompeta", "Trompeta"},
	{"trumpet", "Trumpet"}, {"tromba", "Tromba"}, {"tuba", "Tuba"}, {"posaune", "Posaune"}, {"bombarde", "Bombarde"}, {"trombone", "Trombone"}, {"bazuin", "Bazuin"}, {"clarion", "Clarion"}, {"clairon", "Clarion"},
	{"oboe", "Oboe"}, {"hautbois", "Hautbois"}, {"fagott", "Fagott"}, {"fagotto", "Fagotto"}, {"bassoon", "Bassoon"}, {"basson", "Basson"}, {"krummhorn", "Krummhorn"}, {"cromorne", "Cromorne"},
	{"clarinet", "Clarinet"}, {"klarinette", "Klarinette"}, {"regal", "Regal"}, {"schalmei", "Schalmei"}, {"dulzian", "Dulzian"}, {"mixtur", "Mixtur"}, {"mixture", "Mixture"}, {"mixtuur", "Mixtuur"},
	{"zimbel", "Zimbel"}, {"cymbel", "Zimbel"}, {"cymbale", "Cymbale"}, {"scharff", "Scharff"}, {"fourniture", "Fourniture"}, {"ripieno", "Ripieno"}, {"cornet", "Cornet"}, {"kornett", "Kornett"},
	{"sesquialtera", "Sesquialtera"}, {"quinte", "Quinte"}, {"quint", "Quint"}, {"nasard", "Nasard"}, {"nasat", "Nasat"}, {"nazard", "Nazard"}, {"terz", "Terz"}, {"tierce", "Tierce"}, {"gemshorn", "Gemshorn"}, {"subbass", "Subbass"},
	{"quintade", "Quintadena"}, {"piccolo", "Piccolo"}, {"geigen", "Geigenprincipal"}, {"lieblich", "Gedackt"}, {"contras", "Contras"}, {"contrabass", "Contrabass"}, {"tapad", "Tapado"}, {"horn", "Horn"},
}

type ending struct{ part, as string }

// sure is how well a name was found.
type sure int

const (
	exactly     sure = iota
	byBeginning      // its words are shortened
	bySpelling       // one letter is different
	byWords          // part of the words
	byEnding         // only what kind of name it is
)

// lookUp finds what a name means.
func (t *nameTable) lookUp(name string, a asked) (k *Kind, how sure, as string) {
	if len(name) > longestName { // a paragraph: each beginning and end of it would be tried
		return nil, 0, ""
	}
	found := t.found.of(name, a, func(name string, a asked) (f foundName) {
		f.kind, f.how, f.as = t.search(name, a)
		return f
	})
	return found.kind, found.how, found.as
}

// longestName bounds what may be the name of a stop with what is said of it, bytes.
const longestName = 200

// foundName is what lookUp gives.
type foundName struct {
	kind *Kind
	how  sure
	as   string
}

func (t *nameTable) search(name string, a asked) (k *Kind, how sure, as string) {
	key := fold(name)
	if key == "" {
		return nil, 0, ""
	}
	if k := t.best(key, a); k != nil && !t.isTwo(name) {
		return k, exactly, name
	}
	if one, two, found := strings.Cut(name, "/"); found { // "Principal / Montre": a name in two languages
		if k, other := t.best(fold(one), a), t.best(fold(two), a); k != nil && other != nil && (k == other || k.Family == other.Family && k.Compound == other.Compound && k.Celeste == other.Celeste) {
			return k, exactly, name
		}
	}
	for _, short := range withoutBass(key) {
		if k := t.best(short, a); k != nil {
			return k, exactly, name
		}
	}
	if isShortened(name) {
		if k, long := t.longForm(name, a); k != nil {
			return k, byBeginning, long
		}
	}
	if len([]rune(key)) >= 6 {
		if nearest := t.nearest(key); nearest != "" {
			return t.best(nearest, a), bySpelling, t.spelled(nearest)
		}
	}
	if a.feet > 0 || a.ranks > 0 { // else any word is short for something
		if k, long := t.typed(name, a); k != nil {
			return k, byBeginning, long
		}
		if k, long := t.contracted(key, a); k != nil {
			return k, bySpelling, long
		}
	}
	for _, meant := range scanned(key) {
		if k := t.best(meant, a); k != nil {
			return k, bySpelling, t.spelled(meant)
		}
	}
	words := strings.Fields(name)
	for n := len(words) - 1; n >= 1; n-- {
		best := math.Inf(-1)
		for i, part := range [][]string{words[:n], words[len(words)-n:]} {
			text := strings.Join(part, " ")
			if i == 1 && plain(text) == "flute" { // a Clarinet Flute is a flute
				best = math.Inf(-1)
			}
			if len(fold(text)) < 3 {
				continue
			}
			if found, score := t.scored(fold(text), a); found != nil && score > best+2 { // "Lieblich Mixture III" is a mixture; else the first
				k, as, best = found, text, score
			}
		}
		if k != nil {
			return k, byWords, as
		}
	}
	return t.ending(key, a)
}

// scanned is what a folded name may be where a scan took one letter for two, or two for one.
func scanned(key string) (out []string) {
	for _, alike := range [][2]string{{"rn", "m"}, {"li", "h"}, {"cl", "d"}, {"ii", "u"}, {"in", "m"}, {"i", "l"}} {
		for _, both := range [][2]string{alike, {alike[1], alike[0]}} {
			for i := range key {
				if strings.HasPrefix(key[i:], both[0]) {
					out = append(out, key[:i]+both[1]+key[i+len(both[0]):])
				}
			}
		}
	}
	return out
}

// nearest is the first known name that differs from key by one letter, "" where there is none.
func (t *nameTable) nearest(key string) string {
	return t.near.of(key, func(key string) string { return t.spellings.nearest(key, 0) })
}

func (t *nameTable) ending(key string, a asked) (*Kind, sure, string) {
	as, longest := "", 0
	for _, e := range foldedEndings() {
		part := e.part
		if len(part) > longest && len(key) > len(part) && (strings.HasSuffix(key, part) || strings.HasPrefix(key, part)) {
			as, longest = e.as, len(part)
		}
	}
	if as == "" {
		return nil, 0, ""
	}
	return t.best(fold(as), a), byEnding, as
}

// foldedEndings are endings with their parts folded.
var foldedEndings = sync.OnceValue(func() []ending {
	out := slices.Clone(endings)
	for i := range out {
		out[i].part = foldText(out[i].part)
	}
	return out
})

// spelled is a name whose folded form is key.
func (t *nameTable) spelled(key string) string {
	for _, n := range t.byKey[key] {
		for _, name := range n.kind.Names[n.lang] {
			if fold(name) == key {
				return name
			}
		}
	}
	return key
}

// withoutBass is a folded name without "bass" or a division's octave at its head or end.
func withoutBass(key string) []string {
	var out []string
	for _, f := range bassWords() {
		for _, short := range []string{strings.TrimSuffix(key, f), strings.TrimPrefix(key, f)} {
			if short != key && len(short) >= 4 && !strings.HasPrefix(short, "copel") { // a Pedalkoppel is no Koppel
				out = append(out, short)
			}
		}
	}
	return out
}

// bassWords are what withoutBass leaves out, folded.
var bassWords = sync.OnceValue(func() []string {
	words := []string{"bass", "basso", "bas", "contra", "kontra", "contre", "double", "pedal", "grand", "groß", "gross", "echo", "solo", "klein", "petit", "bassi", "soprani", "diskant"}
	for i, w := range words {
		words[i] = foldText(w)
	}
	return words
})
