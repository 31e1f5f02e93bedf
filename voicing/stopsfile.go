package voicing

import (
	"fmt"
	"strconv"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// StopsLine is one line of a stops file: a place in the piece and the registration from there on.
type StopsLine struct {
	Line   int // in the file, from 1
	Bar    int // as printed; a pickup bar is bar 0
	Beat   float64
	Change RegChange
}

const maxStopsLines = 10000

var stopsLinePattern = lazyregexp.New(`(?i)^bar\s+(\d{1,6})(?:\s*,?\s*beat\s+(\d{1,3}(?:\.\d{1,6})?))?\s*:\s*(.+)$`)

// ParseStopsFile reads stops over time, a line each in the order of the piece:
//
//	# the organ for the second verse
//	bar 1: Gt 8' flutes; Sw box closed
//	bar 9 beat 3: Gt + mixtures
//
// A beat left out is beat 1; # begins a comment that ends with the line. The error is a [Problems] and names every line that
// has no place or goes backwards; words of registration that were not understood are no error: they are in Change.Unread.
func ParseStopsFile(o *Organ, data []byte, file string) ([]StopsLine, error) {
	var out []StopsLine
	var bad Problems
	for i, text := range strings.Split(strings.TrimPrefix(string(data), "\ufeff"), "\n") {
		if i >= maxStopsLines {
			bad = append(bad, Problem{file, i + 1, "the file goes on beyond 10000 lines", "split the piece"})
			break
		}
		text, _, _ = strings.Cut(text, "#")
		if text = strings.TrimSpace(text); text == "" {
			continue
		}
		m := stopsLinePattern.FindStringSubmatch(text)
		if m == nil {
			bad = append(bad, Problem{file, i + 1, fmt.Sprintf("%.60q has no place", text), `write "bar 9 beat 1: Gt 8' flutes"`})
			continue
		}
		l := StopsLine{Line: i + 1, Beat: 1}
		l.Bar, _ = strconv.Atoi(m[1])
		if m[2] != "" {
			l.Beat, _ = strconv.ParseFloat(m[2], 64)
		}
		if l.Beat < 1 {
			bad = append(bad, Problem{file, i + 1, fmt.Sprintf("beat %g is before the bar", l.Beat), "beats count from 1"})
			continue
		}
		if n := len(out); n > 0 && (l.Bar < out[n-1].Bar || l.Bar == out[n-1].Bar && l.Beat < out[n-1].Beat) {
			bad = append(bad, Problem{file, i + 1, fmt.Sprintf("bar %d beat %g comes after bar %d beat %g", l.Bar, l.Beat, out[n-1].Bar, out[n-1].Beat), "put the lines in the order of the piece"})
			continue
		}
		l.Change, _ = ParseRegistration(o, m[3])
		out = append(out, l)
	}
	if len(bad) > 0 {
		return nil, bad
	}
	return out, nil
}
