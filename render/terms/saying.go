package terms

import "strings"

// saying is one text on its way into a language.
type saying struct {
	*Language
	known map[string]phrase // what has been asked for already: a phrase may be tried in many places
}

// mostPhrases is how many phrases are tried in a text: the sentences of the program take some dozens, and what is a list of names
// would take as many as it has pairs of commas.
const mostPhrases = 400

// phrase is a part of a text in the language; ok is false where the tables do not have it.
type phrase struct {
	said string
	ok   bool
}

// text is a sentence, or several, or phrases in a row. Where it may be either it is several: a name in a sentence may have a full stop.
func (s *saying) text(text string) (string, bool) {
	for end := 0; ; {
		i := strings.Index(text[end:], ". ")
		if i < 0 {
			return s.put(text)
		}
		end += i + 1
		if first, ok := s.put(text[:end]); ok {
			if rest, ok := s.text(text[end+1:]); ok {
				return first + " " + rest, true
			}
		}
	}
}

// sentence is a text that the tables have as it is, or by its form.
func (s *saying) sentence(text string) (string, bool) {
	if said, ok := s.sentences[text]; ok {
		return said, true
	}
	for i := range s.forms {
		if said, ok := s.forms[i].say(text, s.put); ok {
			return said, true
		}
	}
	return text, false
}

// put says what is put into a form: an amount, a key, a text of the tables, or several of them ("C4, E4 and G4").
func (s *saying) put(text string) (string, bool) {
	p, ok := s.known[text]
	if !ok && len(s.known) < mostPhrases {
		s.known[text] = phrase{} // it is no part of itself
		p.said, p.ok = s.phrase(text)
		s.known[text] = p
	}
	return p.said, p.ok
}

func (s *saying) phrase(text string) (string, bool) {
	if figures.MatchString(text) {
		return s.Number(text), true
	}
	if keyName.MatchString(text) {
		return s.Key(text), true
	}
	for _, table := range []map[string]string{s.sentences, s.words} {
		if said, ok := table[text]; ok {
			return said, true
		}
	}
	for _, by := range []string{" and ", ", "} {
		i := strings.LastIndex(text, by)
		if i < 0 {
			continue
		}
		before, ok := s.put(text[:i])
		last, too := s.put(text[i+len(by):])
		if ok && too {
			if by == " and " {
				by = " " + s.words["and"] + " "
			}
			return before + by + last, true
		}
	}
	return s.sentence(text)
}
