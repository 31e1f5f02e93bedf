package smf

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"afterchord/sim/score"
)

func (r *reader) text(t, i int, e event, prefix int, kind score.WordKind, text string) {
	if text = cleanText(text); text != "" {
		r.texts = append(r.texts, textEvent{e.tick, t, i, prefix, kind, text})
	}
}

// maxText is how many characters of a text event are kept.
const maxText = 500

// cleanText reads UTF-8, else Latin-1, and takes out control characters.
func cleanText(s string) string {
	if !utf8.ValidString(s) {
		runes := make([]rune, 0, len(s))
		for i := range len(s) {
			runes = append(runes, rune(s[i]))
		}
		s = string(runes)
	}
	s = strings.Map(func(c rune) rune {
		if c == '\n' || c == '\r' || c == '\t' {
			return ' '
		}
		if unicode.IsControl(c) {
			return -1
		}
		return c
	}, s)
	s = strings.TrimSpace(s)
	if n := []rune(s); len(n) > maxText {
		s = string(n[:maxText]) + "…"
	}
	return s
}
