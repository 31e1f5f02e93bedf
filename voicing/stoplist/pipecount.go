package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// American lists count the pipes of each stop. What is short of a whole rank says something: an octave of pipes extends another rank, and a
// rank that is an octave short begins at tenor C (common practice).

// pipesSaid is a number of pipes among what is said of a stop.
var pipesSaid = lazyregexp.New(`(?i)[ ,;:–-]*\b(\d{1,4}) (?:pipes|pfeifen|tuyaux|canne|pijpen|tubos|piber|pipor)\b\.?`)

// octaves is the most that is added to a rank where another pitch is drawn from it, pipes.
const octaves = 24

// countFull finds how many pipes a whole rank has: of the manuals the count of 49 and more that most stops have, of the pedal 27, 30 or 32.
func (r *reader) countFull(lines []string) {
	times, pedal := map[int]int{}, map[int]int{}
	for _, line := range lines {
		for _, m := range pipesSaid.FindAllStringSubmatch(line, -1) {
			if n := atoi(m[1]); n >= 49 && n <= 73 {
				times[n]++
			} else if n == 27 || n == 30 || n == 32 {
				pedal[n]++
			}
		}
	}
	for n, count := range times {
		if count > times[r.fullRank] || count == times[r.fullRank] && n > r.fullRank {
			r.fullRank = n
		}
	}
	for _, n := range []int{27, 30, 32} {
		if pedal[n] > 0 && pedal[n] >= pedal[r.fullPedal] {
			r.fullPedal = n
		}
	}
}

// spellPipes writes what a number of pipes says of the stop before it in words: "Bourdon 4' 12 pipes" is an extension, "Viole Celeste 8' 49
// pipes" begins at tenor C.
func (r *reader) spellPipes(text string) string {
	if m := notesAtEnd.FindStringIndex(text); m != nil && m[0] > 0 && r.isOneStop(strings.TrimSpace(pipesSaid.ReplaceAllString(text[:m[0]], ""))) {
		resultant := ofTwoRanks.MatchString(text)
		if text = text[:m[0]]; r.fullRank > 0 && !pipesSaid.MatchString(text) && !resultant { // the keys are counted where others have pipes of their own
			return text + " (borrowed)"
		}
	}
	if len(pipesSaid.FindAllStringIndex(text, 2)) != 1 {
		return text
	}
	m := pipesSaid.FindStringSubmatchIndex(text)
	if m[0] == 0 {
		return text
	}
	n, said := atoi(text[m[2]:m[3]]), ""
	switch missing := min(r.fullRank, 61) - n; { // 73 pipes are a rank of 61 keys and its octave coupler
	case n <= octaves:
		said = "ext."
	case r.inPedal() || strings.Contains(plain(text), "t.c") || fromKey.MatchString(text):
	case missing == 12:
		said = "from tenor c"
	case missing == 7:
		said = "GG"
	}
	if said != "" && !insideBrackets(text, m[0]) {
		said = "(" + said + ")"
	}
	rest := strings.TrimSpace(text[:m[0]]) + " " + said + " " + strings.TrimSpace(text[m[1]:])
	return strings.TrimSpace(emptyBrackets.ReplaceAllString(rest, " "))
}

var emptyBrackets = lazyregexp.New(`[(\[][\s,;]*[)\]]`)

// sumLine is a line of a summary: "Analysis: 16 ranks, 1,058 pipes", "Total stops 24".
var sumLine = lazyregexp.New(`^[\d.,:;()=+/\s]*(?:(?:analysis|summary|totals?|grand|of|and|organ|stops?|ranks?|pipes|voices|registers|speaking|sounding|real|manuals?|pedals?|great|swell|choir|positive?|positif|solo|couplers|knobs|drawstops|the|in|all|number|division)[\d.,:;()=+/&\s-]*)+$`)

// countsUp tells whether a line is part of a summary: nothing but such words and numbers.
func countsUp(low string) bool {
	return sumLine.MatchString(low) && containsAny(low, "pipes", "ranks", "total", "summary", "analysis") && strings.ContainsAny(low, "0123456789")
}

// notesAtEnd is the number of keys of a stop, which it has without pipes of its own, or beyond them: "32 notes", "12 pipes, 20 notes".
var notesAtEnd = lazyregexp.New(`(?i)[ ,;(]+\d\d notes\)?\.?$`)

var (
	// countAtEnd is a number behind a stop that can only be one of pipes, also in the last cell of a table.
	countAtEnd = lazyregexp.New(`^(.*(?:\pL|[.,)|#♯]|\d ?'|\d ranks?|\d rks?\.?) *)\b(2[1-9]|3[013-9]|[4-9]\d|[1-9]\d\d)( *\|?[ .]*)$`)
	sizeAtEnd  = lazyregexp.New(`(?:^|[^\d])(?:16|8|4|2|2/3|1/3|3/5)'?[ |.]*$`)
)

// spellCounts writes the word for pipes behind the numbers at the ends of lines, where most lines of a list end so: "Twelfth 57".
func spellCounts(lines []string) []string {
	counts, sizes := 0, 0
	for _, l := range lines {
		switch l = tidy(l); {
		case countAtEnd.MatchString(l):
			counts++
		case sizeAtEnd.MatchString(l):
			sizes++
		}
	}
	if counts < 6 || counts < 2*sizes {
		return lines
	}
	out := make([]string, len(lines))
	for i, l := range lines {
		if out[i] = l; countAtEnd.MatchString(tidy(l)) {
			out[i] = countAtEnd.ReplaceAllString(tidy(l), "$1$2 pipes$3")
		} else if m := countOfLength.FindStringSubmatchIndex(tidy(l)); m != nil { // 32, of a short keyboard
			out[i] = tidy(l)[:m[3]] + " pipes" + tidy(l)[m[3]:]
		}
	}
	return out
}

// countOfLength is a number that would be a length elsewhere.
var countOfLength = lazyregexp.New(`\pL[ |]+(32)[ |.]*$`)
