package stoplist

import (
	"slices"
	"strings"
	"unicode"

	"afterchord/acoustics/lazyregexp"
)

// column is a division that stands beside others.
type column struct {
	division int  // -1 for the couplers
	cell     int  // index of the cell where its heading stands
	offset   int  // runes from the beginning of the line
	done     bool // it has come to its end
}

// farRight is a line whose first column is empty.
var farRight = lazyregexp.New(`^ {12,}(?:\d{1,3}[.)]? +)?\pL`)

// cell is a piece of a line that stands in a column of its own.
type cell struct {
	text   string
	index  int
	offset int
}

var gapOfThree = lazyregexp.New(`\t| {3,}`)

var gap = lazyregexp.New(`\t+| {3,}| {2,}`)

// cells parts a line where a table or wide gaps part it; a name and the length in the next cell are put together.
func (r *reader) cells(line string) (list []cell, table bool) {
	switch {
	case strings.Contains(line, "|"):
		table = true
		body := strings.TrimSpace(strings.ReplaceAll(strings.TrimPrefix(strings.TrimSpace(line), "{"), "||", "|"))
		if r.bordered || strings.HasPrefix(strings.TrimSpace(line), "{|") {
			body = strings.TrimPrefix(body, "|")
		}
		r.rowCells = strings.Count(strings.TrimRight(body, "| "), "|") + 1
		for i, t := range strings.Split(body, "|") {
			list = append(list, cell{strings.TrimSpace(t), i, i})
		}
	case strings.Contains(line, "\t"):
		table = true
		for i, t := range strings.Split(line, "\t") {
			list = append(list, cell{strings.TrimSpace(t), i, i})
		}
	default:
		at := 0
		body := strings.TrimRight(line, " ")
		if len(strings.Fields(body)) > 12 && !gapOfThree.MatchString(strings.TrimSpace(body)) {
			body = strings.Join(strings.Fields(body), " ") // prose with a space too many
		}
		lead := len(body) - len(strings.TrimLeft(body, " "))
		for _, g := range append(gap.FindAllStringIndex(body[lead:], -1), []int{len(body) - lead, len(body) - lead}) {
			if t := strings.TrimSpace(body[lead+at : lead+g[0]]); t != "" {
				list = append(list, cell{t, len(list), len([]rune(body[:lead+at]))})
			}
			at = g[1]
		}
	}
	if !table {
		list = r.cutAtColumns(list)
	}
	return r.together(list), table
}

// cutAtColumns parts a cell that runs with a single space up to where the next column begins: "16' Bourdon (1-12 from Ped.) 8' Gedackt".
func (r *reader) cutAtColumns(list []cell) []cell {
	if len(r.columns) < 2 || r.columns[len(r.columns)-1].offset == 0 || len(list) < 2 { // a line without a gap keeps no places
		return list
	}
	var out []cell
	for _, c := range list {
		for _, col := range r.columns[1:] {
			text := []rune(c.text)
			at := col.offset - c.offset
			if at < 4 || at >= len(text) || text[at-1] != ' ' || text[at] == ' ' {
				continue
			}
			head, rest := strings.TrimSpace(string(text[:at])), string(text[at:])
			if !printsFeet(nameBrackets.ReplaceAllString(head, "")) || !printsFeet(rest) || onlyLength(head) || onlyLength(rest) {
				continue
			}
			out = append(out, cell{head, len(out), c.offset})
			c = cell{rest, len(out), col.offset}
		}
		out = append(out, cell{c.text, len(out), c.offset})
	}
	return out
}

// sizesInCells tells whether the cells of a row begin with a length or ranks, and whether they end with one.
func sizesInCells(row string) (ahead, after bool) {
	if !gap.MatchString(row) || len(row) > 300 {
		return false, false
	}
	cells := gap.Split(row, -1)
	if len(cells) > 2 && onlyNumber.MatchString(cells[0]) && !onlyLength(cells[1]) && onlyLength(cells[2]) { // a count, a name and its length
		return false, true
	}
	return onlyLength(cells[0]), onlyLength(cells[len(cells)-1])
}

// lengthsInCells tells whether the second cell of a table's row is the length of the name in the first.
func (r *reader) lengthsInCells(line string) bool {
	cells := strings.Split(strings.TrimPrefix(strings.TrimSpace(strings.ReplaceAll(line, "||", "|")), "|"), "|")
	if len(cells) < 2 {
		return false
	}
	second := strings.TrimSpace(cells[1])
	if len(cells) > 2 && onlyNumber.MatchString(strings.TrimSpace(cells[0])) { // the stops are numbered
		second = strings.TrimSpace(cells[2])
	}
	return onlyLength(second) || second == "" && r.rowCells > r.headCells
}

// footNumber is a whole pipe length.
var footNumber = lazyregexp.New(`^(?:64|32|16|8|4|2|1)$`)

var onlyNumber = lazyregexp.New(`^\(?\d{1,3}[.)]?$`)

// onlyLength tells whether text is a length or ranks and no name.
func onlyLength(text string) bool {
	if len(text) > 300 {
		return false
	}
	if m := keyBehind.FindStringIndex(text); m != nil && m[0] > 0 { // "5 fach, ab c1"
		text = text[:m[0]]
	}
	s := spans(text)
	if first, _, _ := strings.Cut(text, ","); len(s) == 0 || romanDegree[strings.Trim(text, " .")] > 0 || isLetterPair(first) && !manyRanks.MatchString(first) { // "XV" is a name, "I/P" a coupler
		return false
	}
	rest := text
	for i := len(s) - 1; i >= 0; i-- {
		rest = rest[:s[i].from] + rest[s[i].to:]
	}
	return len(nameParts.FindAllString(nameBrackets.ReplaceAllString(rest, " "), -1)) == 0
}

// keyBehind is the key from which a stop goes, at the end of a cell.
var keyBehind = lazyregexp.New(`(?i)[ ,]+\(?(?:ab|from|dès|vanaf|dal|desde) [a-h](?:is|#)?[°0-3']{0,3}\)?$`)

// together joins the cells of a name and of its length, and drops those that only count.
func (r *reader) together(in []cell) []cell {
	var out []cell
	isName := func(c cell) bool { return c.text != "" && !onlyLength(c.text) && !onlyNumber.MatchString(c.text) }
	for i := 0; i < len(in); i++ {
		c := in[i]
		next := i+1 < len(in)
		switch {
		case c.text == "":
			out = append(out, c)
		case len(out) > 0 && isCouplerCell(c.text) && isCouplerCell(out[len(out)-1].text):
			out[len(out)-1].text += " " + c.text // "Unioni : I-P   II-P   4 II"
		case len(out) > 0 && isName(out[len(out)-1]) && printsFeet(out[len(out)-1].text) && fromCounted.MatchString(c.text):
			out[len(out)-1].text += " (" + c.text + ")"
		case len(out) > 0 && isName(out[len(out)-1]) && ((noteCell.MatchString(c.text) || notesAtEnd.MatchString(" "+c.text)) && printsFeet(out[len(out)-1].text) || degreesCell.MatchString(c.text)):
			out[len(out)-1].text += " " + c.text
		case pipeCount.MatchString(c.text) && len(out) > 0 && endsWithLength(out[len(out)-1].text):
			// how many pipes it has
		case len(out) > 0 && isName(out[len(out)-1]) && !strings.HasPrefix(out[len(out)-1].text, "(") && (countOfPipes.MatchString(plain(c.text)) || noteInCell.MatchString(c.text)):
			out[len(out)-1].text += " " + countAhead.ReplaceAllString(c.text, "")
		case len(out) > 0 && isName(out[len(out)-1]) && (strings.HasPrefix(c.text, "to ") || beginsWithCompass(c.text) && isKeyboards(out[len(out)-1].text)):
			out[len(out)-1].text += " " + c.text
		case len(out) > 0 && isName(out[len(out)-1]) && bothHalves.FindString(c.text) == c.text:
			out[len(out)-1].text += " " + c.text
		case footNumber.MatchString(c.text) && len(out) > 0 && isName(out[len(out)-1]) && !printsFeet(out[len(out)-1].text) && !r.lengthFirst:
			out[len(out)-1].text += " " + c.text // the length, right-aligned before the next column
		case len(r.columns) < 2 && !r.divisionCells && !next && len(out) > 0 && len(c.text) <= 4 && refOf(c.text).role != "" && printsFeet(out[len(out)-1].text): // "8' Trumpet   Gt"
			out[len(out)-1].text += " (" + c.text + ")"
		case onlyNumber.MatchString(c.text) && next && isName(in[i+1]) && (!r.lengthFirst || i+2 < len(in) && onlyLength(in[i+2].text)):
			// a count before a name
		case len(r.columns) < 2 && len(out) > 0 && isName(out[len(out)-1]) && len(spans(out[len(out)-1].text)) == 0 && !r.lengthFirst && beginsWithLength(c.text):
			out[len(out)-1].text += " " + c.text
		case onlyLength(c.text) && len(out) > 0 && isName(out[len(out)-1]) && (!endsWithLength(out[len(out)-1].text)) && !r.lengthFirst:
			out[len(out)-1].text += " " + c.text
		case onlyLength(c.text) && !onlyNumber.MatchString(c.text) && len(out) > 0 && isName(out[len(out)-1]) && i > 0 && in[i-1].text != "" && endsWithLength(out[len(out)-1].text) && !r.lengthFirst:
			out[len(out)-1].text += " " + c.text
		case onlyLength(c.text) && next && isName(in[i+1]) && r.lengthFirst:
			in[i+1].text = c.text + " " + in[i+1].text
			in[i+1].index, in[i+1].offset = c.index, c.offset
		default:
			out = append(out, c)
		}
	}
	return out
}

// isLetterPair tells "II/P" from the fraction 2/3.
func isLetterPair(text string) bool {
	return strings.ContainsFunc(text, unicode.IsLetter) && isPair(text)
}

// manyRanks is a mixture that grows, "IV-V", which no coupler is likely to be.
var manyRanks = lazyregexp.New(`^ *(?:III ?[-–] ?(?:IV|VI?)|IV ?[-–] ?VI?|V ?[-–] ?VI) *$`)

// isCouplerCell tells whether a cell holds a coupler by its two divisions, or one of a division on itself.
func isCouplerCell(text string) bool {
	if _, behind, found := strings.Cut(text, ":"); found {
		text = behind
	}
	if _, ok := heading(text); ok { // "Manual I/Huvudverk"
		return false
	}
	words := strings.Fields(text)
	return len(words) > 0 && len(words) < 24 && (isLetterPair(words[len(words)-1]) || len(words) == 2 && footNumber.MatchString(words[0]) && refOf(words[1]).number > 0)
}

var (
	// noteCell says from where a stop begins: "c13", "ab c", "TC".
	noteCell = lazyregexp.New(`^(?i:c ?(?:13|25)|t\.?c\.?|(?:tenor|ten\.?|middle|mid\.?) [cfg]|(?:grooved|gvd\.?|stopped|open|zinc|wood) bass|(?:ab|from|vanaf|dès|dal|desde) \S{1,6})(?:,.*)?$`)
	// fromCounted is another stop by its number: "from 2".
	fromCounted = lazyregexp.New(`^(?i:from|ext\.?(?: of)?|derived from|borrowed from) (?:(?i:no\.?) ?)?\d{1,3}$`)
	// degreesCell is what a mixture sounds: "17.19.22".
	degreesCell = lazyregexp.New(`^\d{1,2}(?:[.\-]\d{2}){1,6}$`)
)

var (
	// noteInCell is a cell that says something of the stop before it: "12 pipes (ext. 8')", "(Gt.)".
	noteInCell = lazyregexp.New(`^(?:\d{1,4} (?:pipes|pfeifen|tuyaux|canne|pijpen|tubos) *)?[(\[][^()\[\]]*[)\]]$`)
	// countAhead is the number of the pipes before what else is said.
	countAhead = lazyregexp.New(`^\d{1,4} (?:pipes|pfeifen|tuyaux|canne|pijpen|tubos) *`)
)

// pipeCount is a number of pipes: what is no length, with or without a sign of repetition.
var pipeCount = lazyregexp.New(`^(?:3[013-9]|[45]\d|6[0-35-9]|[7-9]\d|\d{3}) ?['"]?$`)

func beginsWithCompass(text string) bool {
	_, _, _, _, ok := findCompass(text, false)
	if !ok {
		_, _, _, _, ok = findCompass(text, true)
	}
	return ok
}

func isKeyboards(text string) bool { return keyboardsText.MatchString(text + " ") }

// printsFeet tells whether a length stands in text; "Open Diapason I" has none.
func printsFeet(text string) bool {
	return slices.ContainsFunc(spans(text), func(s span) bool { return !s.roman })
}

func beginsWithLength(text string) bool {
	s := spans(text)
	return len(s) > 0 && s[0].from == 0
}

func endsWithLength(text string) bool {
	s := spans(text)
	return len(s) > 0 && s[len(s)-1].to >= len(strings.TrimRight(text, " .'"))
}

// headings reads a line that heads several columns.
func (r *reader) headings(list []cell) bool {
	var found []Division
	var at []cell
	unknown := -1 // one name among those of known divisions
	for _, c := range list {
		if c.text == "" {
			continue
		}
		d, ok := heading(stripBullet(c.text))
		if !ok {
			d, ok = heading(c.text)
		}
		if !ok && sectionOf(c.text) == inCouplers && len(found) > 0 {
			d, ok = couplersColumn, true
		}
		if !ok && unknown < 0 && isHeadingLike(c.text) {
			unknown = len(found)
			d, ok = Division{Name: capital(strings.Trim(c.text, " :.")), unknown: true}, true
		}
		if !ok {
			found = nil
			break
		}
		found, at = append(found, d), append(at, c)
	}
	if unknown >= 0 && len(found) < 3 {
		found = nil
	}
	if len(list) == 1 && r.section == inCouplers && isPair(list[0].text) {
		return false
	}
	if len(list) == 1 && r.anyStops() && (looksLikeCoupler(list[0].text) || isExtra(plain(list[0].text))) {
		return false
	}
	if len(found) == 1 && len(list) == 1 && found[0].Number > 0 && found[0].Role != "" && found[0].HighKey > 0 { // a keyboard, its compass and its division
		return false
	}
	if len(found) < 2 && len(list) == 1 {
		if found = splitHeadings(list[0].text); found == nil && len(spans(list[0].text)) < 3 { // "I ManualII ManualPedal"
			found = splitHeadings(gluedWords.ReplaceAllString(list[0].text, "$1 $2"))
		}
		at = make([]cell, len(found))
		for i := range at { // the cells of a table below it, in their order
			at[i].index = i
		}
	}
	if len(found) < 2 {
		return false
	}
	if r.underHeadings(found, at) {
		return true
	}
	r.columns, r.section, r.headCells = nil, inStops, at[len(at)-1].index+1
	for i, d := range found {
		n := -1
		if d.Role == inCouplers {
			r.say(IsExtra, "heading: couplers", "")
		} else {
			n = r.open(d)
			ask := ""
			if d.unknown {
				ask = "taken as a division for where it stands"
			}
			r.say(IsHeading, r.headingText(n), ask)
		}
		r.columns = append(r.columns, column{division: n, cell: at[i].index, offset: at[i].offset})
	}
	return true
}

// gluedWords are two cells of a table that a copy left nothing between.
var gluedWords = lazyregexp.New(`(\p{Ll}|\))(\p{Lu})`)

// isHeadingLike tells whether a cell can be the name of a division: one to three words without a length.
func isHeadingLike(text string) bool {
	_, _, text, _, _ = findCompass(nameBrackets.ReplaceAllString(text, " "), false)
	return len(strings.Fields(text)) <= 3 && len(fold(text)) > 3 && len(spans(text)) == 0 && !known(text)
}

// couplersColumn stands for a column of couplers among those of divisions.
var couplersColumn = Division{Role: inCouplers}

// enter goes on with a column.
func (r *reader) enter(division int) {
	if division < 0 {
		r.section = inCouplers
		return
	}
	r.current, r.section = division, inStops
}

// columnHeadings reads a line in which a column gets a new heading while the others go on: "GREAT ORGAN   30 Oboe 8", or a
// heading that stands over a column but the first.
func (r *reader) columnHeadings(list []cell, table bool) bool {
	var heads []int
	filled := 0
	for i, c := range list {
		if c.text != "" {
			filled++
		}
		if _, ok := heading(stripBullet(c.text)); ok && c.text != "" {
			heads = append(heads, i)
		}
	}
	if len(heads) == 0 || table && filled < 2 || len(list) == 1 && r.nearest(list[0], table) == 0 {
		return false
	}
	for i, c := range list {
		if c.text == "" {
			continue
		}
		at := r.nearest(c, table)
		if len(heads) > 0 && heads[0] == i {
			heads = heads[1:]
			d, _ := heading(stripBullet(c.text))
			r.columns[at].division = r.open(d)
			r.current, r.section = r.columns[at].division, inStops
			r.say(IsHeading, r.headingText(r.current), "")
			continue
		}
		r.enter(r.columns[at].division)
		columns := r.columns
		r.piece(c.text, false)
		if r.columns == nil { // it headed a division, with words that only a line of its own has
			if r.columns = columns; r.section == inStops {
				r.columns[at].division = r.current
			}
		}
	}
	return true
}

// nearest is the index of the column over a cell.
func (r *reader) nearest(c cell, table bool) int {
	best := 0
	if table || r.unplaced {
		index := c.index
		if table && r.widerRows { // names and lengths are cells of their own under one heading
			index /= 2
		}
		for i, col := range r.columns {
			if col.cell <= index {
				best = i
			}
		}
		return best
	}
	for i, col := range r.columns {
		if abs(col.offset-c.offset) < abs(r.columns[best].offset-c.offset) {
			best = i
		}
	}
	return best
}

func (r *reader) columnOf(c cell, table bool) int {
	return r.columns[r.nearest(c, table)].division
}

// columnOfOne is the division under which the only cell of a line stands: one that begins well to the right of the first column is
// in another.
func (r *reader) columnOfOne(c cell) int {
	at := r.nearest(c, false)
	if at == 0 && c.offset > r.columns[0].offset+4 {
		at = 1
	}
	return r.columns[at].division
}

func abs(x int) int { return max(x, -x) }

// underHeadings gives the divisions of a row of headings what the row below says of them: "(1e clavier, 11 jeux)", or their names once more.
func (r *reader) underHeadings(found []Division, at []cell) bool {
	bracketed := !slices.ContainsFunc(at, func(c cell) bool { return !strings.HasPrefix(c.text, "(") }) && !slices.ContainsFunc(found, func(d Division) bool { return d.Role != "" })
	if len(found) != len(r.columns) {
		return false
	}
	for i, c := range r.columns {
		if c.division < 0 || !bracketed && r.list.Divisions[c.division].Role != found[i].Role || len(r.list.Divisions[c.division].Stops) > 0 {
			return false
		}
	}
	for i, f := range found {
		d := &r.list.Divisions[r.columns[i].division]
		d.Enclosed = d.Enclosed || f.Enclosed
		if f.Number > 0 && d.Number == 0 {
			d.Number = f.Number
		}
		if f.HighKey > 0 && d.HighKey == 0 {
			d.LowKey, d.HighKey = f.LowKey, f.HighKey
		}
		r.say(IsFact, d.Name+": "+strings.Trim(at[i].text, "()"), "")
	}
	return true
}

// splitHeadings parts "I. Grand-Orgue II. Récit expressif Pédale" into its headings; nil where it is anything else.
func splitHeadings(text string) []Division {
	words := strings.Fields(text)
	if len(words) < 2 || len(words) > 16 || len(spans(text)) > 6 || len(words) <= 5 && boxAdjective.MatchString(words[len(words)-1]) {
		return nil
	}
	if head := strings.TrimSpace(nameBrackets.ReplaceAllString(text, " ")); head != text && strings.HasSuffix(text, ")") {
		if d, ok := heading(head); ok && d.Role != "" && strings.Contains(plain(text), "enclosed") { // "Great Organ (partly enclosed in Choir box)"
			return nil
		}
	}
	if d, ok := heading(text); ok && d.Role != "" && (d.Number > 0 || d.Enclosed) && strings.HasSuffix(strings.TrimRight(text, " :"), ")") { // "Registri della seconda tastiera (Organo espressivo)", "Brystværk (svelleværk)"
		return nil
	}
	var out []Division
	for i := 0; i < len(words); {
		n := min(5, len(words)-i)
		var d Division
		ok := false
		for ; n > 0; n-- {
			d, ok = heading(strings.Join(words[i:i+n], " "))
			if ok && (d.Role != "" || d.Number > 0) && !twice(out, d) {
				if d.Pedal && d.Number > 0 && n > 2 { // "II Manual Pedal"
					continue
				}
				if !strings.HasSuffix(words[i+n-1], ")") && twoRoles(words[i:i+n]) { // "Great Organ Swell Organ" is two, "Cadereta interior (en eco)" is one
					continue
				}
				break
			}
			ok = false
		}
		if !ok && len(out) > 0 && i == len(words)-1 && sectionOf(words[i]) == inCouplers {
			return append(out, couplersColumn)
		}
		if !ok {
			return nil
		}
		d.byWord = n > 1
		out = append(out, d)
		i += n
	}
	roles := 0
	for _, d := range out {
		if d.Role != "" || d.Number > 0 && d.byWord {
			roles++
		}
	}
	if len(out) < 2 || roles < 2 && roles < len(out)-1 {
		return nil
	}
	return out
}

// twoRoles tells whether words are the headings of two divisions.
func twoRoles(words []string) bool {
	for k := 1; k < len(words); k++ {
		a, okA := heading(strings.Join(words[:k], " "))
		b, okB := heading(strings.Join(words[k:], " "))
		if okA && okB && a.Role != "" && b.Role != "" && a.Role != b.Role {
			return true
		}
	}
	return false
}

// boxAdjective is said of a division in a swell box: "Positivo Espressivo" is one.
var boxAdjective = lazyregexp.New(`(?i)^(?:espressiv[oa]|expressi[fv]|expresiv[oa]|expressive|expressief|esp\.?|exp\.?|expr\.?)$`)

func twice(list []Division, d Division) bool {
	for _, x := range list {
		if x.Name == d.Name {
			return true
		}
	}
	return false
}
