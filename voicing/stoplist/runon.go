package stoplist

import (
	"slices"
	"strings"
	"unicode"

	"afterchord/acoustics/lazyregexp"
)

// A paragraph or a table that was copied without its columns has whole divisions in one line and nothing but spaces between their stops.
// It is parted twice: where a division or a list of couplers is headed, and then, where no commas part the stops, by the way of
// reading it that leaves the least unknown.

// runOn parts a line in which several divisions stand one after the other, before each of their headings.
func runOn(line string) []string {
	trimmed := strings.TrimSpace(line)
	if m := couplersWithin.FindStringIndex(trimmed); m != nil && m[0] > 0 && printsFeetOrRanks(trimmed[:m[0]]) && beginsWithPair(trimmed[m[1]:]) {
		return append(runOn(trimmed[:m[0]]), strings.TrimSpace(trimmed[m[0]:m[1]])+": "+trimmed[m[1]:])
	}
	if _, ok := heading(trimmed); ok || looksLikeCoupler(trimmed) && strings.Count(trimmed, ":") < 2 {
		return []string{line}
	}
	if gap.MatchString(trimmed) || strings.Contains(trimmed, " | ") || len(trimmed) < 40 && strings.Count(trimmed, ":") < 2 {
		return []string{line}
	}
	words := wordsOf(trimmed)
	mixed := lowerCase(trimmed)
	first, _, _ := labelOf(trimmed)
	_, headed := heading(first)
	form := !headed && sectionOf(first) == "" // facts in one line stay together
	var cuts []int
	depth := 0
	for i := 0; i < len(words); i++ {
		if depth == 0 {
			place := within
			switch {
			case i == 0 || endsSentence(words[i-1].text):
				place = afterSentence
			case strings.HasSuffix(words[i-1].text, ",") || strings.HasSuffix(words[i-1].text, ")") || strings.HasSuffix(words[i-1].text, ":") || sizeAt(words[i-1:]) == 1:
				place = afterItem
			case joins(words[i-1].text):
				continue
			}
			if n := max(headingAt(words[i:], place, mixed), compassHeadingAt(words[i:])); n > 0 && !(form && len(cuts) == 0 && formLabels[plain(strings.TrimSuffix(phraseOf(words[i:i+n]), ":"))]) {
				cuts = append(cuts, words[i].at)
				i += n - 1
				continue
			}
		}
		depth = max(0, depth+strings.Count(words[i].text, "(")-strings.Count(words[i].text, ")"))
	}
	if len(cuts) == 0 || len(cuts) == 1 && cuts[0] == 0 {
		return []string{line}
	}
	var out []string
	at := 0
	for _, cut := range append(cuts, len(trimmed)) {
		if part := strings.Trim(trimmed[at:cut], " |"); part != "" {
			out = append(out, part)
		}
		at = cut
	}
	return out
}

// compassHeadingAt is the number of words at the head of words that head a keyboard with its compass, "Clavier II, C - f”', Grand-Orgue"; 0 where
// they head none.
func compassHeadingAt(words []word) int {
	if len(words) == 0 || !beginsWithLetter(words[0].text) || strings.Contains(phraseOf(words[:min(8, len(words))]), "|") {
		return 0
	}
	for n := min(8, len(words)-1); n > 2; n-- {
		phrase := strings.Trim(phraseOf(words[:n]), ",:")
		if !compassText.MatchString(phrase) || strings.HasSuffix(phrase, "-") {
			continue
		}
		if d, ok := heading(phrase); ok && d.HighKey > 0 && (d.Role != "" || d.Number > 0) && beginsStop(words[n:]) {
			return n
		}
	}
	return 0
}

// couplersWithin heads couplers behind a stop: "Mixtur 4fach Koppeln HW/P; OW/P".
var couplersWithin = lazyregexp.New(`(?i) (?:koppeln|couplers|unioni|accouplements|tirasses|koppelingen|acoplamientos) *:? +`)

func printsFeetOrRanks(text string) bool { return len(spans(text)) > 0 }

func beginsWithPair(text string) bool {
	first, _, _ := strings.Cut(strings.NewReplacer(";", ",").Replace(text), ",")
	return isPair(first)
}

// word is a word with its place in the text, bytes.
type word struct {
	text string
	at   int
}

func wordsOf(text string) []word {
	var out []word
	at := 0
	for _, w := range strings.Fields(text) {
		at += strings.Index(text[at:], w)
		out = append(out, word{w, at})
		at += len(w)
	}
	return out
}

func phraseOf(words []word) string {
	parts := make([]string, len(words))
	for i, w := range words {
		parts[i] = w.text
	}
	return strings.Join(parts, " ")
}

// headingAt is the number of words at the head of words that head a division or a section within a line; 0 where they head none. Within a
// line a heading is marked: a colon or a dash behind it, capitals among small letters, the word organ, or the sentence before it is at its end.
func headingAt(words []word, after place, mixed bool) int {
	for n := min(7, len(words)-1); n > 0; n-- {
		last := words[n-1].text
		colon := strings.HasSuffix(last, ":") && after != within
		if n > 4 && !colon {
			continue
		}
		phrase := strings.TrimSuffix(phraseOf(words[:n]), ":")
		if strings.HasPrefix(phrase, "(") || startsSmall(phrase) && joins(words[0].text) { // "Trompette de récit en chamade"
			return 0
		}
		next := words[n].text
		if colon && (sectionOf(phrase) != "" || formLabels[plain(phrase)] || pitchLine.MatchString(plain(phraseOf(words[:min(8, len(words))])))) {
			return n
		}
		if capitals(phrase) && mixed && n <= 2 && sectionOf(phrase) != "" {
			return n
		}
		d, ok := heading(phrase)
		if !ok || d.Role == "" && (!colon || d.Number == 0) || joins(next) || strings.ContainsAny(phrase, ",;") || endsWithSlash(phrase) {
			continue
		}
		long := len([]rune(phrase)) > 3
		known := len(table().byKey[fold(phrase)]) > 0
		switch {
		case colon:
			return n
		case known && !strings.Contains(plain(phrase), "organ"):
		case long && mixed && capitals(phrase), n > 1 && strings.Contains(plain(phrase), "organ") && !strings.Contains(plain(phrase), "organo pleno"):
			return n
		case after == afterSentence && long && (next == "-" || next == "–" || beginsStop(words[n:])):
			return n
		}
	}
	return 0
}

// place is what stands before a heading.
type place int

const (
	within        place = iota // words of whatever it may be
	afterItem                  // a length, a comma or a bracket
	afterSentence              // nothing, or the end of a sentence
)

// endsWithSlash tells "I/" and "HW/": the first half of a coupler.
func endsWithSlash(s string) bool { return strings.HasSuffix(s, "/") || strings.HasSuffix(s, "-") }

// joins tells whether a word stands between the two divisions of a coupler.
func joins(w string) bool {
	return slices.Contains([]string{"to", "/", "&", "+", "an", "aan", "till", "til", "sur", "al", "au", "on", "zu", "zum", "and", "und", "et", "e", "en", "de", "du", "des", "von", "of", "del", "della"}, strings.ToLower(w))
}

func endsSentence(w string) bool {
	return strings.HasSuffix(w, ".") && len([]rune(w)) > 2 || strings.HasSuffix(w, ";") || strings.HasSuffix(w, "|")
}

func capitals(s string) bool { return s == strings.ToUpper(s) && s != strings.ToLower(s) }

// lowerCase tells whether most letters of text are small.
func lowerCase(text string) bool {
	small, all := 0, 0
	for _, c := range text {
		if unicode.IsLetter(c) {
			all++
			if unicode.IsLower(c) {
				small++
			}
		}
	}
	return small*2 > all
}

// beginsStop tells whether words begin with a known name and its size.
func beginsStop(words []word) bool {
	for n := min(4, len(words)-1); n > 0; n-- {
		if sizeAt(words[n:]) > 0 && known(phraseOf(words[:n])) {
			return true
		}
	}
	return false
}

// known tells whether a name is in the table, with or without the words that say half of the keyboard or how it is built.
func known(name string) bool {
	t := table()
	if cutWord.MatchString(name) {
		if k, _ := t.longForm(name, asked{}); k != nil {
			return true
		}
	}
	name = trimName(name)
	for _, s := range []string{name, halfAtEnd.ReplaceAllString(name, ""), italianHalf.ReplaceAllString(name, "")} {
		key := fold(s)
		if len(key) < 2 {
			continue
		}
		if len(t.byKey[key]) > 0 && !t.isTwo(s) {
			return true
		}
		for _, short := range withoutBass(key) {
			if len(t.byKey[short]) > 0 {
				return true
			}
		}
	}
	return false
}

var (
	degreeWord = lazyregexp.New(`(?i)^(?:duodecima|decimaquinta|decimanona|quintadecima|(?:vi|tri)gesima(?:seconda|sesta|nona|terza))$`)
	halfWord   = lazyregexp.New(`^(?:bassi|soprani|treble|dessus|diskant|discant|basse)[.,]?$`)
	countWord  = lazyregexp.New(`^\d{1,3}[a-c]?[.)]?$`)
	pipesWord  = lazyregexp.New(`(?i)^(?:pipes|pfeifen|tuyaux|canne|notes|n\.|p\.|pp\.|pijpen)$`)
	mixedFeet  = lazyregexp.New(`^(?:10|6|5|3|2|1)$`)
	markedFeet = lazyregexp.New(`^(?:\d{1,2}|\d{1,2}[.,]\d{1,2}|\d{1,2}[.\-]\d/\d|\d{1,2}/\d)'+[.,]?$`)
	fraction   = lazyregexp.New(`^[1-8]/[2-9]{1,2}'?[.,]?$`)
	romanWord  = lazyregexp.New(`^(?:X{0,1}(?:IX|IV|V?I{1,3}|V)|X)(?:[-–/](?:IX|IV|V?I{1,3}|V|X))?(?:f\.?|r\.?|rgs\.?|rks\.?)?[.,]?$`)
	ranksWord  = lazyregexp.New(`(?i)^\d{1,2}(?:[-–]\d{1,2})?-?(?:f|fach|x|st|rgs?|rks?|r|h|sterk|fold)[.,]?$`)
	ranksUnit  = lazyregexp.New(`(?i)^(?:ranks?|rks?|rangs?|rgs?|fach|f|sterk|st|file|filas?|rengles|fileres|ordens|hileras|row|rows|voet|vt|ft|feet|pieds?|fuß|fuss)[.,]?$`)
	smallCount = lazyregexp.New(`^\d{1,2}(?:[-–]\d{1,2})?$`)
)

// sizeAt is the number of words at the head of words that are a length or a number of ranks.
func sizeAt(words []word) int {
	if len(words) == 0 {
		return 0
	}
	w := words[0].text
	next := ""
	if len(words) > 1 {
		next = words[1].text
	}
	switch {
	case len(words) > 3 && next == "-" && romanWord.MatchString(w) && romanWord.MatchString(words[2].text) && beginsWithDigit(words[3].text): // "Fourniture IV - V 2'"
		return 3
	case mixedFeet.MatchString(w) && fraction.MatchString(next):
		return 2
	case (smallCount.MatchString(w) || romanWord.MatchString(w)) && ranksUnit.MatchString(next):
		return 2
	case footNumber.MatchString(w), markedFeet.MatchString(w), fraction.MatchString(w), romanWord.MatchString(w), ranksWord.MatchString(w):
		return 1
	}
	return 0
}

// secondLength is the other rank of "Sesquialtera 2 2/3' + 1 3/5'".
var secondLength = lazyregexp.New(`(\d') ?\+ ?\d{1,2}(?: \d/\d|/\d)?'`)

// item is what some words are taken for.
type item struct {
	words   int
	cost    float64
	text    string // "" for a word that is not understood
	sounds  bool   // a stop, or a coupler by its two names
	sized   bool   // it has its length or number of ranks
	unknown bool   // its name is not known
}

// way is a way of reading the words up to some place, by its last item.
type way struct {
	cost                                  float64
	from                                  int
	item                                  string
	items, sounding, sized, unknown, junk int
}

func (w *way) add(x item) {
	count := func(n *int, yes bool) {
		if yes {
			*n++
		}
	}
	count(&w.items, x.text != "")
	count(&w.junk, x.text == "")
	count(&w.sounding, x.sounds)
	count(&w.sized, x.sized)
	count(&w.unknown, x.unknown)
}

// Costs of an item; a way of reading is the better the less it costs. A known name with its size is what a list is made of.
const (
	costItem    = 1.0
	costBare    = 1.15 // a known name without a length, in a list that prints few
	costMissing = 2.2  // the same in a list that prints them
	costUnknown = 2.3  // a length behind words that are no known name, and for each of those
	costWord    = 0.7
	costJunk    = 4.0
)

// apart parts words with nothing between them into stops, headings, couplers and tremulants; nil where they are one thing or none.
func (r *reader) apart(text string) []string {
	text = secondLength.ReplaceAllString(text, "$1 II")
	words := wordsOf(text)
	if r.section == inExtras || len(words) < 4 || len(words) > 600 || strings.ContainsAny(text, ";|•·") || strings.Count(text, ",")*8 > len(words) {
		return nil
	}
	feet := 0
	for i := range words {
		if sizeAt(words[i:]) > 0 && romanless(words[i].text) {
			feet++
		}
	}
	var best []way
	for _, lengthFirst := range []bool{false, true} {
		if ways := r.ways(words, feet*6 >= len(words), lengthFirst); best == nil || ways[len(words)].cost < best[len(words)].cost-1e-9 {
			best = ways
		}
	}
	end := best[len(words)]
	if end.sounding < 2 || end.items < 2 || end.junk*3 > len(words) || end.items < 4 && (end.junk+end.unknown > 0 || r.isStop(text)) || end.items < 3 && end.sized < 2 {
		return nil
	}
	var out []string
	for at := len(words); at > 0; at = best[at].from {
		item := best[at].item
		if item == "" { // words that are not understood stay together
			item = words[at-1].text
			if strings.Trim(item, "-–—/+.,:*") == "" {
				continue
			}
			for best[at].from > 0 && best[best[at].from].item == "" {
				at = best[at].from
				item = words[at-1].text + " " + item
			}
		}
		out = append(out, item)
	}
	slices.Reverse(out)
	return out
}

func (r *reader) ways(words []word, sized, lengthFirst bool) []way {
	mixed := lowerCase(phraseOf(words))
	counts := counting(words)
	best := make([]way, len(words)+1)
	for j := 1; j <= len(words); j++ {
		best[j].cost = 1e9
	}
	for i := range words {
		here := best[i]
		take := func(x item) {
			to := &best[i+x.words]
			if here.cost+x.cost >= to.cost-1e-9 {
				return
			}
			*to = here
			to.cost, to.from, to.item = here.cost+x.cost, i, x.text
			to.add(x)
		}
		take(item{words: 1, cost: costJunk})
		if n := headingAt(words[i:], afterSentence, mixed); n > 0 && (i == 0 || !joins(words[i-1].text)) {
			take(item{words: n, cost: costItem * 0.8, text: phraseOf(words[i : i+n])})
		}
		for n := 1; n <= 5 && i+n <= len(words); n++ {
			phrase := phraseOf(words[i : i+n])
			switch {
			case n >= 3 && spokenCoupler(phrase), n == 1 && strings.Contains(phrase, "/") && isPair(phrase):
				take(item{words: n, cost: costItem * 0.8, text: phrase, sized: true, sounds: n >= 3})
			case n <= 2 && tremulantAlone(phrase), n <= 2 && capitals(phrase) && mixed && sectionOf(phrase) == inCouplers:
				take(item{words: n, cost: costItem, text: phrase})
			case strings.ContainsAny(phrase, "-–/+") && severalDegrees(phrase) != nil, n == 3 && words[i+1].text == "e" && severalDegrees(phrase) != nil:
				take(item{words: n, cost: costItem, text: phrase, sized: true, sounds: true})
			case n <= 2 && isExtra(plain(phrase)) && !known(phrase):
				take(item{words: n, cost: 1.2 + costWord*float64(n), text: phrase})
			}
		}
		r.stopWays(words[i:], counts[i:], sized, lengthFirst, take)
	}
	return best
}

// counting marks the numbers that count the stops: those of the longest run of numbers one after the other.
func counting(words []word) []bool {
	out := make([]bool, len(words))
	numbers := make([]int, len(words))
	for i, w := range words {
		numbers[i] = -1
		if countWord.MatchString(w.text) {
			numbers[i] = atoi(strings.TrimRight(w.text, "abc.)"))
		}
	}
	var longest []int
	for i, first := range numbers {
		if first < 0 || out[i] {
			continue
		}
		run := []int{i}
		for j := i + 1; j < len(numbers); j++ {
			if numbers[j] == first+len(run) && (j+1 >= len(words) || beginsWithLetter(words[j+1].text)) {
				run = append(run, j)
			}
		}
		if len(run) > len(longest) {
			longest = run
		}
	}
	if len(longest) >= 3 || len(longest) > 0 && longest[0] == 0 && !footNumber.MatchString(words[0].text) {
		for _, i := range longest {
			out[i] = true
		}
	}
	return out
}

func tremulantAlone(phrase string) bool {
	m := tremulantText.FindStringSubmatch(phrase)
	return m != nil && strings.Trim(m[1], " .") == ""
}

// spokenCoupler tells "Swell to Great" and "Swell Octave to Pedal".
func spokenCoupler(phrase string) bool {
	_, _, spoken, ok := pairOf(phrase)
	return spoken && ok
}

// stopWays offers the stops that can begin at the head of words: a number that counts, the name, its size, the number of pipes, and notes.
func (r *reader) stopWays(words []word, counts []bool, sized, lengthFirst bool, take func(item)) {
	starts := []int{0}
	if counts[0] && len(words) > 1 {
		starts = append(starts, 1)
	}
	for _, at := range starts {
		var size int
		if lengthFirst {
			for n := sizeAt(words[at:]); n > 0; n = sizeAt(words[at:]) {
				at, size = at+n, size+n
			}
		}
		for n := 1; n <= 6 && at+n <= len(words); n++ {
			w := words[at+n-1].text
			if !beginsWithLetter(w) && w != "&" {
				break
			}
			name := phraseOf(words[at : at+n])
			if n == 1 && (halfWord.MatchString(plain(w)) || w == "&") { // no name begins so
				break
			}
			if w == "&" {
				continue
			}
			if onlyNotes(name) && !known(name) || severalNames(words[at:at+n]) {
				continue
			}
			if d, ok := heading(name); n == 1 && ok && d.Role != "" && capitals(w) && len(w) > 3 && !known(name) {
				break
			}
			isKnown := known(name) || len(name) > 6 && n <= 2 && table().nearest(fold(name)) != ""
			end := at + n
			if _, m := notesAt(words[end:]); m > 0 && sizeAt(words[end+m:]) > 0 && !lengthFirst { // "Open Diapason, wood 16"
				end += m
			}
			behind := 0
			if lengthFirst { // "2 2/3 Kornet II"
				if m := sizeAt(words[end:]); m > 0 && !romanless(words[end+m-1].text) {
					end, behind = end+m, m
				}
			} else {
				for m := sizeAt(words[end:]); m > 0 && behind < 4 && !counts[end]; m = sizeAt(words[end:]) {
					if behind > 0 && footNumber.MatchString(words[end].text) && romanless(words[end-1].text) {
						break // the count of the next stop, or its length
					}
					end, behind = end+m, behind+m
				}
			}
			has := size > 0 || behind > 0
			cost := costItem
			switch {
			case has && isKnown:
			case has && n > 3:
				continue
			case has:
				cost = costUnknown + costWord*float64(n)
			case isKnown && sized:
				cost = costMissing
			case isKnown:
				cost = costBare
			default:
				continue
			}
			found := item{words: end, cost: cost, text: strings.ReplaceAll(phraseOf(words[at-size:end]), ", ", " "), sounds: true, sized: has, unknown: !isKnown}
			take(found)
			notes, m := notesAt(words[end:])
			if m > 0 {
				found.words, found.text, found.cost = end+m, found.text+notes, found.cost+0.05
				take(found)
			}
			if at := found.words; at < len(words) && smallNumber(words[at].text) && !counts[at] { // the number of its pipes
				found.words++
				if at+1 < len(words) && pipesWord.MatchString(words[at+1].text) {
					found.words++
				} else {
					found.cost += 0.1
				}
				take(found)
			}
		}
	}
}

// severalNames tells whether words are the names of as many ranks: "Decimanona Vigesimaseconda" in a row is two knobs.
func severalNames(words []word) bool {
	for _, w := range words {
		if romanDegree[w.text] == 0 && !degreeWord.MatchString(w.text) {
			return false
		}
	}
	return len(words) > 1
}

// romanless tells that a size is a length.
func romanless(w string) bool {
	return !romanWord.MatchString(w) && !ranksUnit.MatchString(w) && !ranksWord.MatchString(w)
}

func smallNumber(w string) bool {
	w = strings.Trim(w, "(),.")
	return len(w) > 0 && len(w) <= 3 && strings.Trim(w, "0123456789") == ""
}

func beginsWithLetter(w string) bool {
	for _, c := range w {
		return unicode.IsLetter(c)
	}
	return false
}

// notesAt is what is said of the stop before words in brackets or by a word such as wood.
func notesAt(words []word) (notes string, n int) {
	for n < len(words) {
		w := words[n].text
		near := phraseOf(words[n:min(len(words), n+3)])
		if m := fromKey.FindStringIndex(near); m != nil && m[0] == 0 {
			notes += " " + near[:m[1]]
			n += len(strings.Fields(near[:m[1]]))
			continue
		}
		switch {
		case strings.HasPrefix(w, "(") || strings.HasPrefix(w, "["):
			m := n
			for m < len(words) && m < n+8 && !strings.ContainsAny(words[m].text, ")]") {
				m++
			}
			if m >= len(words) || m == n+8 {
				return notes, n
			}
			notes += " " + phraseOf(words[n:m+1])
			n = m + 1
		case noteWords[strings.Trim(plain(w), ".,")] && len(w) > 1 && beginsWithLetter(w) && !romanWord.MatchString(w):
			notes += " " + w
			n++
		default:
			return notes, n
		}
	}
	return notes, n
}
