package terms

import (
	"cmp"
	"embed"
	"encoding/json"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"afterchord/acoustics/lazyregexp"
)

// The tables: what pages say, which they get too, and what the program says of a piece, whose parts are said first in the latter.
//
//go:embed languages/*.json sentences/*.json
var tables embed.FS

// Language has the program's words in tables: English texts and what they are called, with {0}, {1} … for what is put in; {0=} in
// the language lets in a name that no table has.
type Language struct {
	Name      string // as in the attribute lang: "de"
	table     []byte
	words     map[string]string
	sentences map[string]string
	forms     []form // the texts of both that something is put into, what says most first
	notes     func(letter byte, accidental string, octave int) string
}

// Languages are those that there is a table for, by name.
var Languages = sync.OnceValue(func() map[string]*Language {
	out := map[string]*Language{}
	for name, notes := range map[string]func(byte, string, int) string{"de": german, "fr": solmization("ré"), "it": solmization("re")} {
		l := &Language{Name: name, notes: notes}
		l.table = read("languages/"+name+".json", &l.words)
		read("sentences/"+name+".json", &l.sentences)
		for _, table := range []map[string]string{l.words, l.sentences} {
			for english, said := range table {
				if strings.Contains(english, "{0}") {
					l.forms = append(l.forms, formOf(english, said))
				}
			}
		}
		slices.SortFunc(l.forms, func(a, b form) int {
			return cmp.Or(cmp.Compare(b.letters, a.letters), cmp.Compare(a.english, b.english))
		})
		out[name] = l
	}
	return out
})

func read(file string, table *map[string]string) []byte {
	data, err := tables.ReadFile(file)
	if err == nil {
		err = json.Unmarshal(data, table)
	}
	if err != nil {
		panic(fmt.Sprintf("%s: %v", file, err)) // embedded; a test reads it
	}
	return data
}

// Table is the file of the language, JSON.
func (l *Language) Table() []byte { return l.table }

// Say is a text of the program in the language, one sentence or several; ok is false where the tables do not have it, or not all that
// is put into it. What is put in is said in the language too, numbers with its decimal comma. A nil language is English.
func (l *Language) Say(text string) (said string, ok bool) {
	if l == nil {
		return text, true
	}
	if said, ok = l.words[text]; ok {
		return said, true
	}
	return (&saying{l, map[string]phrase{}}).text(text)
}

// Or is a text in the language, or as it is.
func (l *Language) Or(text string) string {
	said, _ := l.Say(text)
	return said
}

var (
	figures = lazyregexp.New(`^[−–\-]?[\d.,:]*\d[¼⅓½⅔¾]?( ?(s|ms|mm|m|dB|dB\(A\)|Hz|%|ft|cents))?$`)
	keyName = lazyregexp.New(`^([A-G])([#b♯♭]?)(-?\d)$`)
)

// Number writes a number, or an amount, with a decimal comma.
func (l *Language) Number(text string) string {
	if l == nil {
		return text
	}
	return strings.ReplaceAll(text, ".", ",")
}

// Key names a key ("C#4", 60 = C4) as organists of the country do: cis¹, do♯3.
func (l *Language) Key(name string) string {
	m := keyName.FindStringSubmatch(name)
	if l == nil || m == nil {
		return name
	}
	octave, _ := strconv.Atoi(m[3])
	accidental := map[string]string{"#": "♯", "b": "♭"}[m[2]]
	return l.notes(m[1][0], cmp.Or(accidental, m[2]), octave)
}

// german is a note by Helmholtz's octaves, with H for B and B for B flat (common practice): C is the lowest key of an organ.
func german(letter byte, accidental string, octave int) string {
	name := map[string]string{"B": "h", "B♭": "b", "E♭": "es", "A♭": "as"}[string(letter)+accidental]
	if name == "" {
		name = strings.ToLower(string(letter)) + map[string]string{"♯": "is", "♭": "es", "": ""}[accidental]
	}
	switch {
	case octave < 2:
		return strings.ToUpper(name[:1]) + name[1:] + string([]rune("₁₂₃₄")[min(3, 1-octave)])
	case octave == 2:
		return strings.ToUpper(name[:1]) + name[1:]
	}
	return name + strings.Repeat("′", octave-3)
}

// solmization names notes do re mi; the octaves are counted from the lowest key of an organ, do 1 (common practice in France and Italy).
func solmization(re string) func(byte, string, int) string {
	names := map[byte]string{'C': "do", 'D': re, 'E': "mi", 'F': "fa", 'G': "sol", 'A': "la", 'B': "si"}
	return func(letter byte, accidental string, octave int) string {
		return names[letter] + accidental + strconv.Itoa(octave-1)
	}
}

// Amount is a value with its unit in the language.
func (l *Language) Amount(text string) string {
	if l == nil {
		return text
	}
	value, unit, _ := strings.Cut(text, " ")
	if keyName.MatchString(value) {
		return l.Key(value)
	}
	if unit == "" {
		return l.Number(value)
	}
	return l.Number(value) + " " + l.Or(unit)
}
