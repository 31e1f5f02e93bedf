// Package terms says what this program writes in British terms, in American ones: crotchet and quarter note, bar and measure.
package terms

import (
	"fmt"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Set is whose terms are spoken.
type Set string

// The sets. The program writes British; American is made of it.
const (
	British  Set = "british"
	American Set = "american"
)

// Parse reads the name of a set, in any case.
func Parse(name string) (Set, error) {
	switch s := Set(strings.ToLower(strings.TrimSpace(name))); s {
	case British, American:
		return s, nil
	}
	return "", fmt.Errorf("terms %q: give %s or %s", name, British, American)
}

// values are the note values by their British names (common usage on either side).
var values = map[string]string{
	"breve": "double whole note", "semibreve": "whole note", "minim": "half note", "crotchet": "quarter note",
	"quaver": "eighth note", "semiquaver": "sixteenth note", "demisemiquaver": "thirty-second note", "hemidemisemiquaver": "sixty-fourth note",
}

// A value stands alone, not within a key such as crotchets_a_minute; a bar is one where a number, "of" or "a" stands beside it,
// so that names and keys called bar stay as they are.
var (
	value     = lazyregexp.New(`\b((?:hemi)?(?:demi)?(?:semi)?[Qq]uaver|[Hh]emidemisemiquaver|[Dd]emisemiquaver|[Ss]emiquaver|[Cc]rotchet|[Mm]inim|[Ss]emibreve|[Bb]reve)(s?)\b`)
	article   = lazyregexp.New(`\b([Aa])n? (dotted |double-dotted )?(quarter|eighth|half|sixteenth|whole|thirty-second|sixty-fourth|double whole) note`)
	barBefore = lazyregexp.New(`\b([Bb])ar(s?) (\d|of |and )`)
	barAfter  = lazyregexp.New(`(\d[  ]|\b(?:a|the|each|every|one|whole|more|fewer|these|same|over|any) )bar(s?)\b([^-]|$)`)
)

// Say puts a text that this program wrote into the terms of s.
func (s Set) Say(text string) string {
	if s != American {
		return text
	}
	text = value.ReplaceAllStringFunc(text, func(m string) string {
		plural := strings.HasSuffix(m, "s")
		name := strings.TrimSuffix(m, "s")
		said, ok := values[strings.ToLower(name)]
		if !ok {
			return m
		}
		if name[0] >= 'A' && name[0] <= 'Z' {
			said = strings.ToUpper(said[:1]) + said[1:]
		}
		if plural {
			said += "s"
		}
		return said
	})
	text = article.ReplaceAllStringFunc(text, func(m string) string {
		p := article.FindStringSubmatch(m)
		next := p[2] + p[3]
		a := p[1]
		if strings.HasPrefix(next, "eighth") {
			a += "n"
		}
		return a + " " + next + " note"
	})
	text = barBefore.ReplaceAllStringFunc(text, func(m string) string {
		p := barBefore.FindStringSubmatch(m)
		return map[string]string{"B": "M", "b": "m"}[p[1]] + "easure" + p[2] + " " + p[3]
	})
	return barAfter.ReplaceAllString(text, "${1}measure${2}${3}")
}
