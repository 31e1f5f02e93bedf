package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Italian lists print the two rows of stop knobs side by side with nothing but a space between them, and the half of the keyboard as a
// letter behind the length: "Fagotto 8' b. Principale 8' b", "Voce umana XXII".

var (
	halfLetter  = lazyregexp.New(`( [IVX]{1,4}|\d ?['’‘]?|\pL{3,}|°) ?['’‘]? ?([bs])\.?( |$)`)
	degreeSign  = lazyregexp.New(`(^|[ \-–])(15|19|22|26|29|33|36) ?[aª]\.?( |$|-|–)`)
	inEighth    = lazyregexp.New(`(?i)( in) 8(?:[aª']|va)?\.?( |$)`)
	fromNote    = lazyregexp.New(`(?i) da ((?:do|re|mi|fa|sol|la|si) ?\d)`)
	ordinal     = lazyregexp.New(`(?: |^)([12])°`)
	rowOfRomans = lazyregexp.New(`^(XV|XIX|XXII|XXVI|XXIX|XXXIII|XXXVI)(?:[ ,]*[-–e/+ ][ ,]*(XV|XIX|XXII|XXVI|XXIX|XXXIII|XXXVI))+$`)
	romanDegree = map[string]int{"XV": 15, "XIX": 19, "XXII": 22, "XXVI": 26, "XXIX": 29, "XXXIII": 33, "XXXVI": 36}
	oneRoman    = lazyregexp.New(`[IVX]+`)
	spelledRun  = lazyregexp.New(`(?i)^(?:(?:decima ?|quinta ?)?(?:decima|quinta|nona)|(?:vi|tri)gesima ?(?:seconda|sesta|nona|terza))(?:,? (?:e|ed) |, ?)(?:(?:vi|tri)gesima ?)?(?:seconda|sesta|nona|terza)\.?$`)
	spelledWord = lazyregexp.New(`(?i)(decima|vigesima|trigesima)? ?(quinta|nona|seconda|sesta|terza)`)
)

// halvesByLetter tells whether the lists marks the halves of its keyboard by letters.
func halvesByLetter(lines []string) bool {
	n := 0
	for _, l := range lines {
		n += len(halfLetter.FindAllString(tidy(l), -1))
	}
	return n >= 4
}

// spellHalves writes the letters of the halves out.
func spellHalves(text string) string {
	text = halfLetter.ReplaceAllStringFunc(text, func(m string) string {
		g := halfLetter.FindStringSubmatch(m)
		word := " bassi"
		if g[2] == "s" {
			word = " soprani"
		}
		return strings.TrimSpace(g[1]) + word + g[3]
	})
	text = fromNote.ReplaceAllString(text, " dal $1")
	return ordinal.ReplaceAllStringFunc(text, func(m string) string {
		if strings.Contains(m, "1") {
			return " primo"
		}
		return " secondo"
	})
}

// severalTens are ranks of a ripieno that share the word for their tens: "Vigesima II, VI, IX".
var severalTens = lazyregexp.New(`(?i)\b(decima|vigesima|trigesima) ((?:II|III|V|VI|IX)(?:(?:, ?| e | )(?:II|III|V|VI|IX))+)$`)

// spellDegrees writes "19a" as XIX, and "Vigesima II, VI, IX" as XXII-XXVI-XXIX.
func spellDegrees(text string) string {
	if m := severalTens.FindStringSubmatchIndex(text); m != nil {
		ten := map[string]string{"decima": "X", "vigesima": "XX", "trigesima": "XXX"}[strings.ToLower(text[m[2]:m[3]])]
		var ranks []string
		for _, unit := range oneRoman.FindAllString(strings.ToUpper(text[m[4]:m[5]]), -1) {
			ranks = append(ranks, ten+unit)
		}
		text = text[:m[0]] + strings.Join(ranks, "-")
	}
	text = inEighth.ReplaceAllString(text, "$1 ottava$2")
	for range 2 { // neighbours share the space between them
		text = degreeSign.ReplaceAllStringFunc(text, func(m string) string {
			g := degreeSign.FindStringSubmatch(m)
			for roman, n := range romanDegree {
				if n == atoi(g[2]) {
					return g[1] + roman + g[3]
				}
			}
			return m
		})
	}
	return text
}

// twoInARow parts text where one stop, or an accessory, ends and another begins with nothing between them; nil where it is one. The parts
// are both known names.
func (r *reader) twoInARow(text string, pedal bool) []string {
	words := strings.Fields(text)
	if r.list.Language != "it" || len(words) < 2 || len(words) > 9 || strings.ContainsAny(text, ",;:") {
		return nil
	}
	one := func(part string) bool {
		if rowOfRomans.MatchString(part) {
			return true
		}
		found, left := r.stopsIn(part, pedal)
		return len(found) == 1 && len(left) == 0 && found[0].how == exactly
	}
	for n := 1; n < len(words); n++ { // "Ottavino bassi Principale 8' bassi"
		a, b := strings.Join(words[:n], " "), strings.Join(words[n:], " ")
		if halfWord.MatchString(words[n-1]) && !startsSmall(b) && one(a) && one(b) {
			return []string{a, b}
		}
	}
	if one(text) {
		return nil
	}
	for n := len(words) - 1; n > 0; n-- {
		a, b := strings.Join(words[:n], " "), strings.Join(words[n:], " ")
		if n > 1 && known(words[n-1]+" "+b) { // "Tromboni 8' ped. Trigesima terza": no third
			continue
		}
		switch {
		case one(a) && (one(b) || isExtra(plain(b))), isExtra(plain(a)) && n <= 2 && !isExtra(plain(b)) && one(b):
			return []string{a, b}
		}
	}
	return nil
}

// severalDegrees are the ranks of a ripieno on one knob, "XXVI-XXIX" or "vigesima sesta e nona", by the interval each sounds; nil for
// anything else.
func severalDegrees(text string) (degrees []int) {
	text = strings.Trim(text, " .")
	switch {
	case rowOfRomans.MatchString(text):
		for _, w := range oneRoman.FindAllString(text, -1) {
			degrees = append(degrees, romanDegree[w])
		}
	case spelledRun.MatchString(text):
		ten := ""
		for _, m := range spelledWord.FindAllStringSubmatch(plain(text), -1) {
			if m[1] != "" {
				ten = m[1]
			}
			degrees = append(degrees, map[string]int{"decimaquinta": 15, "decimanona": 19, "vigesimaseconda": 22, "vigesimasesta": 26, "vigesimanona": 29, "trigesimaterza": 33, "trigesimasesta": 36}[ten+m[2]])
		}
	}
	if len(degrees) < 2 || !slices.IsSorted(degrees) || degrees[0] == 0 {
		return nil
	}
	return degrees
}

// cellsALine puts the rows of a table together that was copied with a cell to a line and a bar on a line of its own between them. How many cells
// a row has its headings tell, which stand one after the other.
func cellsALine(lines []string) []string {
	var cells []int
	bars := 0
	for i, l := range lines {
		switch strings.TrimSpace(l) {
		case "":
		case "|":
			bars++
		default:
			cells = append(cells, i)
		}
	}
	if bars < 4 || bars*2 < len(cells) {
		return lines
	}
	heads := func(i int) bool {
		text := strings.TrimSpace(tidy(lines[i]))
		_, ok := heading(text)
		return ok || handOf(text) != ""
	}
	for at, i := range cells {
		n := 0
		for at+n < len(cells) && heads(cells[at+n]) {
			n++
		}
		if n < 2 {
			if heads(i) {
				return lines // one column
			}
			continue
		}
		out := slices.Clone(lines)
		for ; at < len(cells); at += n {
			row := make([]string, 0, n)
			for _, c := range cells[at:min(len(cells), at+n)] {
				row = append(row, strings.TrimSpace(lines[c]))
				out[c] = ""
			}
			out[cells[at]] = strings.Join(row, " | ")
		}
		for j := range out {
			if strings.TrimSpace(out[j]) == "|" {
				out[j] = ""
			}
		}
		return out
	}
	return lines
}

// wordCut is a word that was cut at the end of a line.
var wordCut = lazyregexp.New(`\pL{2,}-$`)

// joinCutWords puts a name together that was cut at the end of a line: "Gems-" and below it "horn 2'".
func joinCutWords(lines []string) []string {
	out := slices.Clone(lines)
	for i := 1; i < len(out); i++ {
		head, tail := strings.TrimRight(out[i-1], " \t\r"), strings.TrimSpace(out[i])
		if !wordCut.MatchString(head) || !startsSmall(tail) || len(head) > 60 || len(tail) > 60 {
			continue
		}
		whole := strings.TrimSuffix(head, "-") + tail
		if known(nameBrackets.ReplaceAllString(withoutSizes(stripBullet(tidy(whole))), " ")) {
			out[i-1], out[i] = whole, ""
		}
	}
	return out
}

// closeBrackets puts a bracket together that was broken over some lines, and behind the heading of a division one that says which manual it is.
func closeBrackets(lines []string) []string {
	out := slices.Clone(lines)
	last := -1
	for i := range out {
		if strings.Count(out[i], "(") == strings.Count(out[i], ")")+1 {
			closeBracket(out, i)
		}
		text := strings.TrimSpace(out[i])
		if text == "" {
			continue
		}
		if last >= 0 && strings.HasPrefix(text, "(") && strings.HasSuffix(text, ")") && saysManual(out[last], text) {
			out[last], out[i] = strings.TrimRight(out[last], " ")+" "+text, ""
			continue
		}
		last = i
	}
	return out
}

// closeBracket puts the lines behind line i that close its bracket to it: at most three, and short.
func closeBracket(lines []string, i int) {
	whole := strings.TrimRight(lines[i], " ")
	taken := 0
	for j := i + 1; j < len(lines) && taken < 3; j++ {
		text := strings.TrimSpace(lines[j])
		if text == "" {
			continue
		}
		taken++
		if strings.Contains(text, "(") {
			return
		}
		whole += " " + text
		if strings.HasSuffix(text, ")") && (taken == 1 || len(strings.Fields(whole)) <= 14) {
			lines[i] = whole
			for k := i + 1; k <= j; k++ {
				lines[k] = ""
			}
			return
		}
		if strings.Contains(text, ")") {
			return
		}
	}
}

// saysManual tells whether a bracket says the number of the manual that a line heads.
func saysManual(line, bracket string) bool {
	d, ok := heading(tidy(line))
	if !ok || d.Role == "" || d.Number > 0 {
		return false
	}
	number, ok := heading(strings.Trim(tidy(bracket), "() "))
	return ok && number.Number > 0
}

// lengthLine is a line that is a length with its sign and nothing else.
var lengthLine = lazyregexp.New(`^(?:\d{1,2} )?\d{1,2}(?:/\d)?'$`)

// nameAndLength puts each length or number of ranks that stands on a line of its own behind the name on the line before, or after, and the two divisions
// of an octave coupler behind its words; nil where fewer than four lines are such lengths.
func nameAndLength(lines []string) []string {
	text := make([]string, len(lines))
	for i, l := range lines {
		text[i] = strings.TrimSpace(tidy(l))
	}
	step := -1 // from a length to its name
	if lengthsAhead(text) {
		step = 1
	}
	out := slices.Clone(lines)
	n := 0
	for i, size := range text {
		at := i + step
		if at < 0 || at >= len(text) {
			continue
		}
		name := text[at]
		switch {
		case lengthLine.MatchString(size) && name != "" && len(strings.Fields(name)) <= 6 && (beginsWithLetter(name) || ordinalName.MatchString(name)) && !printsFeet(nameBrackets.ReplaceAllString(name, " ")):
			n++
		case ranksAlone.MatchString(size) && isCompound(name):
		case step < 0 && isLetterPair(size) && octavePrefix.FindString(plain(name)) == plain(name):
		default:
			continue
		}
		first, second := min(i, at), max(i, at)
		out[first], out[second] = strings.TrimSpace(lines[at])+" "+strings.TrimSpace(lines[i]), ""
	}
	if n < 4 {
		return nil
	}
	return out
}

// lengthsAhead tells whether lengths on lines of their own stand before their names: more of them below a heading than above one.
func lengthsAhead(text []string) bool {
	below, above := 0, 0
	heads := func(i int) bool {
		if i < 0 || i >= len(text) || text[i] == "" {
			return false
		}
		_, ok := heading(text[i])
		return ok
	}
	for i, size := range text {
		if !lengthLine.MatchString(size) {
			continue
		}
		if heads(i - 1) {
			below++
		}
		if i+1 == len(text) || text[i+1] == "" || heads(i+1) {
			above++
		}
	}
	return below > above
}

// ranksAlone are the ranks of a mixture in a cell of their own: "IV", "IV-VI".
var ranksAlone = lazyregexp.New(`^[IVX]{1,4}(?: ?- ?[IVX]{1,4})?$`)

func isCompound(name string) bool {
	k, how, _ := table().lookUp(name, asked{ranks: 2})
	return k != nil && how == exactly && k.Compound != ""
}

// rejoin puts the lengths of a table that was copied column by column behind their names: names without a length, and after them as many lines
// that are nothing but lengths. The lines stay where they are.
func rejoin(lines []string) []string {
	lines = closeBrackets(joinCutWords(lines))
	out := slices.Clone(lines)
	isName := func(l string) bool {
		l = strings.TrimSpace(stripBullet(tidy(l)))
		if l == "" || len(strings.Fields(l)) > 4 || len(spans(l)) > 0 || sectionOf(l) != "" {
			return false
		}
		if _, head := heading(l); head {
			return false
		}
		k, how, _ := table().lookUp(l, asked{})
		return k != nil && how <= byEnding
	}
	isLength := func(l string) bool {
		l = strings.Trim(tidy(l), " |")
		return onlyLength(l) && romanDegree[l] == 0
	}
	if joined := nameAndLength(lines); joined != nil {
		return joined
	}
	for i := 0; i < len(lines); {
		a := i
		for i < len(lines) && isName(lines[i]) {
			i++
		}
		names := i - a
		if names == 1 { // a name and its length, line by line
			pairs := 0
			for a+2*pairs+1 < len(lines) && isName(lines[a+2*pairs]) && isLength(lines[a+2*pairs+1]) {
				pairs++
			}
			if pairs >= 2 {
				for k := range pairs {
					out[a+2*k] = strings.TrimSpace(lines[a+2*k]) + " " + strings.TrimSpace(lines[a+2*k+1])
					out[a+2*k+1] = ""
				}
				i = a + 2*pairs
				continue
			}
		}
		if names < 2 {
			i = max(i, a+1)
			continue
		}
		j := i
		for j < len(lines) && strings.TrimSpace(tidy(lines[j])) == "" {
			j++
		}
		z := j
		for z < len(lines) && isLength(lines[z]) {
			z++
		}
		if j == i || z-j != names {
			continue
		}
		for k := range names {
			out[a+k] = strings.TrimSpace(lines[a+k]) + " " + strings.TrimSpace(lines[j+k])
			out[j+k] = ""
		}
		i = z
	}
	return lengthsAtEnd(out, isName, isLength)
}

// lengthsAtEnd puts lengths that all stand behind the last name, those of several divisions one after the other, to their names, where there are
// as many.
func lengthsAtEnd(lines []string, isName, isLength func(string) bool) []string {
	var names, sizes []int
	for i, l := range lines {
		if isLength(l) {
			sizes = append(sizes, i)
		}
	}
	if len(sizes) < 4 {
		return lines
	}
	for i, l := range lines[:sizes[0]] {
		if isName(l) {
			names = append(names, i)
		}
	}
	if len(names) != len(sizes) {
		return lines
	}
	out := slices.Clone(lines)
	for k, i := range names {
		out[i], out[sizes[k]] = strings.TrimSpace(lines[i])+" "+strings.TrimSpace(lines[sizes[k]]), ""
	}
	return out
}
