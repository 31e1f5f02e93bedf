package terms

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// form is a text with places for what is put in, and the same in a language.
type form struct {
	english string
	parts   []string // of the English text, between the places
	places  []byte   // the digit of each
	said    string
	letters int // that are not put in
}

var (
	placeholder = lazyregexp.New(`\{(\d)=?\}`)
	sentenceEnd = lazyregexp.New(`; |\pL{5}\. |[^\pL]\. `) // no name has one: "Sw. box" is one, "pedal. It costs" is none
)

func formOf(english, said string) form {
	f := form{english: english, said: said}
	end := 0
	for _, m := range placeholder.Regexp().FindAllStringSubmatchIndex(english, -1) {
		f.parts, f.places = append(f.parts, english[end:m[0]]), append(f.places, english[m[2]])
		end = m[1]
	}
	f.parts = append(f.parts, english[end:])
	for _, p := range f.parts {
		f.letters += len(p)
	}
	return f
}

// say puts what a text has in the places of the English form, said by put, into the form of the language; ok is false where the text
// has another form, or put has no word for something.
func (f *form) say(text string, put func(string) (string, bool)) (said string, ok bool) {
	last := len(f.parts) - 1
	if len(text) <= f.letters || !strings.HasPrefix(text, f.parts[0]) || !strings.HasSuffix(text, f.parts[last]) {
		return "", false
	}
	var values [10]string
	if !f.fill(0, text[len(f.parts[0]):len(text)-len(f.parts[last])], put, &values) {
		return "", false
	}
	return placeholder.ReplaceAllStringFunc(f.said, func(p string) string { return values[p[1]-'0'] }), true
}

// fill finds what stands in the places from the i-th on, the shortest first; text ends before the last part.
func (f *form) fill(i int, text string, put func(string) (string, bool), values *[10]string) bool {
	place := f.places[i]
	take := func(value string) bool {
		said, ok := put(value)
		if !ok && strings.Contains(f.said, "{"+string(place)+"=}") && !sentenceEnd.MatchString(value) {
			said, ok = value, value != ""
		}
		values[place-'0'] = said
		return ok
	}
	if i == len(f.places)-1 {
		return take(text)
	}
	next := f.parts[i+1]
	for from := 1; from < len(text); from++ {
		at := strings.Index(text[from:], next)
		if at < 0 {
			return false
		}
		from += at
		if take(text[:from]) && f.fill(i+1, text[from+len(next):], put, values) {
			return true
		}
	}
	return false
}
