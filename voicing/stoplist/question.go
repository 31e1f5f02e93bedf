package stoplist

import (
	"fmt"
	"strings"
)

// ask gives each piece that was not understood the question that its writer can answer in the text.
func (l *List) ask() {
	for i := range l.Lines {
		for k := range l.Lines[i].Readings {
			if x := &l.Lines[i].Readings[k]; x.What == IsUnread && x.Ask == "" {
				x.Ask = l.question(x.Text)
			}
		}
	}
}

// question says how a piece of text that was not understood could be written.
func (l *List) question(text string) string {
	if a, b, isPair := strangePair(text); isPair {
		return l.pairQuestion(a, b)
	}
	name := trimName(withoutSizes(nameBrackets.ReplaceAllString(text, " ")))
	if len(strings.Fields(name)) > 5 || name == "" {
		return "if there is a stop in it, write it on a line of its own, name and length; else leave it"
	}
	if feet := spansOfFeet(text); len(feet) > 0 {
		size := strings.Trim(text[feet[0].from:feet[0].to], "' ")
		return fmt.Sprintf("if it is a stop, say of which kind, as %q or %q; else leave it", name+" Flute "+size, name+" Trumpet "+size)
	}
	return fmt.Sprintf("if it is a stop, say of which kind and length, as %q; else leave it", name+" Flute 8")
}

// strangePair takes a piece apart that looks like a coupler; the names in it may be no divisions'.
func strangePair(text string) (a, b string, ok bool) {
	text = strings.Trim(nameBrackets.ReplaceAllString(text, " "), " .,;:")
	for _, m := range spokenPair.FindAllStringIndex(text, -1) {
		a, b = text[:m[0]], text[m[1]:]
		if len(strings.Fields(a)) < 4 && len(strings.Fields(b)) < 4 {
			return strings.TrimSpace(a), strings.TrimSpace(b), true
		}
	}
	for _, sign := range []string{"->", "/", "-"} {
		if a, b, ok = strings.Cut(text, sign); ok && len([]rune(strings.TrimSpace(a))) <= 8 && len([]rune(strings.TrimSpace(b))) <= 8 && !strings.ContainsAny(text, "0123456789") {
			return strings.TrimSpace(a), strings.TrimSpace(b), a != "" && b != ""
		}
	}
	return "", "", false
}

// pairQuestion says which division of a coupler is not in the list.
func (l *List) pairQuestion(names ...string) string {
	var divisions, strange []string
	for i := range l.Divisions {
		divisions = append(divisions, l.Divisions[i].Name)
	}
	for _, n := range names {
		if r := refOf(stripShift(n)); !r.known() || l.resolve(r) < 0 {
			strange = append(strange, fmt.Sprintf("%q", n))
		}
	}
	example := "II/I"
	if m := l.manuals(); len(m) > 1 {
		example = l.Divisions[m[1]].Name + " to " + l.Divisions[m[0]].Name
	}
	if len(strange) == 0 || len(divisions) == 0 {
		return fmt.Sprintf("if it is a coupler, say what sounds on which keys, as %q; else leave it", example)
	}
	return fmt.Sprintf("no division here is called %s (they are %s): if it is a coupler, write it with these, as %q; else leave it", strings.Join(strange, " or "), strings.Join(divisions, ", "), example)
}
