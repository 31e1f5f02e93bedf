package stoplist

import (
	"slices"
	"strconv"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// withoutLeaders takes the dots between a name and its length out of a line. What stands behind the next wide gap, the
// second column, keeps its place.
func withoutLeaders(s string) string {
	dots := leaders.FindAllStringIndex(s, -1)
	if dots == nil {
		return s
	}
	var b strings.Builder
	at, owed := 0, 0
	keepPlace := func(part string) {
		if g := wideGap.FindStringIndex(part); g != nil && owed > 0 {
			part = part[:g[1]] + strings.Repeat(" ", owed) + part[g[1]:]
			owed = 0
		}
		b.WriteString(part)
	}
	for _, m := range dots {
		keepPlace(s[at:m[0]])
		b.WriteString(" ")
		owed += m[1] - m[0] - 1
		at = m[1]
	}
	keepPlace(s[at:])
	return b.String()
}

var wideGap = lazyregexp.New(`\S {3,}`)

// bracketLetter is a letter in brackets at the end of a line: "(M)", also where the bracket is not closed.
var bracketLetter = lazyregexp.New(`\(([A-Z?])\)*\s*$`)

// marksMakers tells whether the letters in brackets behind the stops stand for those who made the pipes: a list that marks only
// the halves of its keyboard has no others than B, D, S and T.
func marksMakers(lines []string) bool {
	n := 0
	for _, l := range lines {
		if m := bracketLetter.FindStringSubmatch(tidy(l)); m != nil && !strings.Contains("BDST?", m[1]) {
			n++
		}
	}
	return n >= 3
}

// rankLetter is the letter of the rank that a stop of a unit organ is drawn from: "Open Diapason  8  A", "Flute 4 (B)".
var rankLetter = lazyregexp.New(`^(.*\d ?'?) +[(\[]?([A-Z])[)\]]?(?: *[+&/,] *[A-Z])?[ .]*$`)

// withoutRankLetters takes the letters of the ranks away from the ends of lines, where a list gives them: D is no treble there.
func withoutRankLetters(lines []string) []string {
	letters, n := map[string]bool{}, 0
	for _, l := range lines {
		if m := rankLetter.FindStringSubmatch(tidy(l)); m != nil && len(spans(m[1])) > 0 {
			letters[m[2]] = true
			n++
		}
	}
	if n < 5 || !letters["A"] || len(letters) < 3 || 2*n < len(letters)*3 { // each rank is drawn from more than once
		return lines
	}
	out := make([]string, len(lines))
	for i, l := range lines {
		if out[i] = l; rankLetter.MatchString(tidy(l)) {
			out[i] = rankLetter.ReplaceAllString(tidy(l), "$1")
		}
	}
	return out
}

// noPipes says that a knob has no pipes: "vacant", "prepared for", "keine Pfeifen".
var noPipes = lazyregexp.New(`(?i)(?:^|[^\pL])(?:vacant[es]?|vacat|vakant|vacío|vacio|prepared(?: for)?|prep\.|gereserveerd|vorbereitet|reserviert|réservée?|prévue?|predispost[oa]|reservad[oa]|no pipes|without pipes|keine pfeifen|ohne pfeifen|zonder pijpen|sans tuyaux|senza canne|sin tubos)(?:$|[^\pL])`)

// lowestKeysOnly is a bracket with the keys of a bass half: "(half stop C-d0)", "(C-h0)".
var lowestKeysOnly = lazyregexp.New(`^[(\[](?:\pL[\pL .]*? )?C{1,2} ?(?:-|to|bis|tot|t/m) ?([a-h](?:is)? ?(?:[°0]|'{1,2}|[12])?)[)\]]$`)

// keyRange is a bracket with the keys of a stop: "(C to B)", "(c' - f”')", "(h°-c3)".
var keyRange = lazyregexp.New(`^[(\[]([A-Ha-h](?:is|#)? ?(?:[°0]|'{1,3}|[1-4])?) ?(?:-|to|bis|tot|à) ?([A-Ha-h](?:is|#)? ?(?:[°0]|'{1,4}|[1-4])?)[)\]]$`)

// keysIn limits a stop to the keys that a bracket behind it names.
func (s *foundStop) keysIn(bracket string) {
	if m := keyRange.FindStringSubmatch(bracket); m != nil {
		low, high := rangeKey(m[1]), rangeKey(m[2])
		if low > 36 {
			s.LowKey = low
		} else if high > 36 && high < 84 {
			s.HighKey = high
		}
		return
	}
	if m := lowestKeysOnly.FindStringSubmatch(bracket); m != nil {
		if high := keyNamed(m[1]); high > 40 && high < 72 {
			s.HighKey = high
		}
	}
}

// rangeKey is one end of a range of keys: a capital without a sign is in the great octave.
func rangeKey(s string) int {
	s = strings.TrimSpace(s)
	key := keyNamed(s)
	if s == strings.ToUpper(s) && len(strings.Trim(s, "#")) == 1 {
		key -= 12
	}
	return key
}

// fromOctave is a key by its octave, counted from 1 where that is how the list prints its compasses: "Flûte ouverte 8 ; C2".
var fromOctave = lazyregexp.New(`^\s*([A-G]) ?([1-4])\s*$`)

// countsOctaves tells whether the keyboards of the list begin with C1.
var countsOctaves = lazyregexp.New(`(?:^|[^\pL])c ?1 ?- ?[a-g]#? ?[3-6](?:$|\D)`)

// keyOfOctave is the key that text names by its octave; 0 where it is anything else.
func (r *reader) keyOfOctave(text string) int {
	m := fromOctave.FindStringSubmatch(text)
	if m == nil || !countsOctaves.MatchString(r.whole) {
		return 0
	}
	return 36 + 12*(atoi(m[2])-1) + pitchClass[strings.ToLower(m[1])[0]]
}

// soundingDegree is the interval that a name ends with: "Clarín en XV" sounds two octaves up.
var soundingDegree = lazyregexp.New(`(?i) (?:en|in) (XV|XIX|XXII|15|19|22|12|quin[cz]ena)(?: ?[aªª]\.?)?$`)

// feetByDegree is the length of a stop whose name says the interval that it sounds; 0 where it says none.
func feetByDegree(name string) float64 {
	m := soundingDegree.FindStringSubmatch(strings.TrimSpace(nameBrackets.ReplaceAllString(name, " ")))
	if m == nil {
		return 0
	}
	if strings.HasPrefix(strings.ToLower(m[1]), "quin") {
		return intervalFeet[15]
	}
	if degree := romanDegree[strings.ToUpper(m[1])]; degree > 0 {
		return intervalFeet[degree]
	}
	return intervalFeet[atoi(m[1])]
}

// headedByFact reads "I. Manual / C-f3, mechanische Schleiflade": a heading and behind the comma what is said of its action.
func (r *reader) headedByFact(text string) bool {
	d, rest, ok := headAndFact(text)
	if !ok {
		d, rest, ok = headAndRemark(text)
	}
	if !ok {
		return false
	}
	r.current, r.section, r.columns = r.open(d), inStops, nil
	r.say(IsHeading, r.headingText(r.current), "")
	if said := r.list.facts(rest); len(said) > 0 {
		r.say(IsFact, strings.Join(said, ", "), "")
	}
	if d.Pedal && pulledDown.MatchString(rest) {
		r.pulled()
	}
	return true
}

// headAndRemark parts a heading from what a word or two in small letters say of it behind a comma: "Auxiliar, frei ankoppelbar, C-c4".
func headAndRemark(text string) (d Division, remark string, ok bool) {
	parts := splitList(text)
	if len(parts) < 2 || len(spansOfFeet(text)) > 0 {
		return d, "", false
	}
	if d, ok = heading(parts[0]); !ok || d.Role == "" {
		return d, "", false
	}
	kept, said := parts[:1:1], []string(nil)
	for _, p := range parts[1:] {
		if startsSmall(p) && len(strings.Fields(p)) <= 4 && !known(p) {
			said = append(said, p)
		} else {
			kept = append(kept, p)
		}
	}
	if len(said) == 0 {
		return d, "", false
	}
	d, ok = heading(strings.Join(kept, ", "))
	remark = strings.Join(said, ", ")
	d.Enclosed = d.Enclosed || slices.ContainsFunc(strings.Fields(plain(remark)), func(w string) bool { return boxWords[strings.Trim(w, ".()")] || strings.HasPrefix(w, "schwell") })
	return d, remark, ok
}

// headAndFact parts a heading from what is said of its action.
func headAndFact(text string) (d Division, fact string, ok bool) {
	head, rest, found := strings.Cut(text, ", ")
	if !found || len(strings.Fields(rest)) > 4 || !anyAction(plain(rest)) && !pulledDown.MatchString(rest) {
		return d, "", false
	}
	d, ok = heading(head)
	return d, rest, ok && (d.Role != "" || d.HighKey > 0)
}

// countsItalian is the number that tells a stop from another of its name, "Principale 2 soprani", in an Italian list that prints
// few lengths; "" where it is a length.
func (r *reader) countsItalian(name string, group []span) string {
	if r.list.Language != "it" || r.bareNames < 4 || len(group) != 1 || group[0].marked || group[0].ranks > 0 || group[0].feet > 3 {
		return ""
	}
	k, how, _ := table().lookUp(name, asked{lang: "it"})
	if k == nil || how != exactly || k.Compound != "" || usualFor(k, group[0].feet) {
		return ""
	}
	return strconv.Itoa(int(group[0].feet))
}

// usualFor tells whether stops of a kind are made at a length.
func usualFor(k *Kind, feet float64) bool {
	_, usual := exactFeet(k, feet)
	return usual
}

// withoutCount takes the number off the head of a line.
func withoutCount(head string) string {
	return strings.TrimLeft(strings.TrimLeft(strings.TrimLeft(head, " \t"), "0123456789"), " \t")
}

// inItsPlace takes the number off the head of a line and leaves what stands behind it in its place.
func inItsPlace(head string) string {
	rest := withoutCount(head)
	if strings.Contains(head, "\t") || !strings.HasPrefix(head, "            ") {
		return rest
	}
	return strings.Repeat(" ", len(head)-len(rest)) + rest
}
