package stoplist

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// maxText bounds a stop list, bytes.
const maxText = 1 << 18

// reader goes through a list line by line.
type reader struct {
	list         *List
	current      int // index into list.Divisions, -1 before the first heading
	columns      []column
	section      string // inStops, inCouplers, inExtras
	lengthFirst  bool   // "8' Principal" rather than "Principal 8'"
	numbered     map[int]bool
	pedalHeading bool
	halves       bool   // halves of the keyboard are letters behind the lengths
	half         string // "bass" or "treble" under a heading for one hand
	hands        []hand // the two halves side by side
	laidOut      bool   // the text keeps the places of its columns: some line begins far to the right
	bareNames    int    // lines that are the name of a stop and nothing else
	waiting      []waiting
}

// Sections of a list.
const (
	inStops    = "stops"
	inCouplers = "couplers"
	inExtras   = "extras"
)

// column is a division that stands beside others.
type column struct {
	division int
	cell     int // index of the cell where its heading stands
	offset   int // runes from the beginning of the line
}

// waiting is a coupler or a tremulant, which is read when all divisions are known.
type waiting struct {
	line, reading int // indexes
	text          string
	division      int
}

// Read reads a stop list. It never fails: what it does not understand stands in the list's lines.
func Read(text string) *List {
	if len(text) > maxText {
		text = text[:maxText]
	}
	r := &reader{list: &List{}, current: -1, section: inStops}
	lines := rejoin(strings.Split(text, "\n"))
	r.survey(lines)
	r.halves = r.list.Language == "it" && halvesByLetter(lines)
	for i, line := range lines {
		if strings.TrimSpace(tidy(line)) == "" {
			continue
		}
		r.list.Lines = append(r.list.Lines, Line{Number: i + 1, Text: strings.TrimSpace(line)})
		for _, part := range runOn(tidy(line)) {
			r.line(i, part)
		}
	}
	r.finish()
	return r.list
}

func (r *reader) say(what, text, ask string) {
	at := &r.list.Lines[len(r.list.Lines)-1]
	at.Readings = append(at.Readings, Reading{what, text, ask})
}

// farRight is a line whose first column is empty.
var farRight = lazyregexp.New(`^ {12,}\pL`)

var bareNumber = lazyregexp.New(`^\s*(\d{1,3})\s+['"*]?\pL`)

// survey looks at the whole list: its language, whether lengths stand before names, which numbers only count the lines.
func (r *reader) survey(lines []string) {
	r.numbered = map[int]bool{}
	lastLine, last := -1, -1
	first, behind := 0, 0
	votes := map[string]float64{}
	for i, line := range lines {
		r.laidOut = r.laidOut || farRight.MatchString(line)
		line = tidy(line)
		if m := bareNumber.FindStringSubmatch(line); m != nil {
			n := atoi(m[1])
			if lastLine >= 0 && n == last+1 {
				r.numbered[i], r.numbered[lastLine] = true, true
			}
			lastLine, last = i, n
		}
		text := strings.TrimSpace(stripBullet(line))
		if s := spans(text); len(s) > 0 && len(text) < 60 {
			if s[0].from == 0 && s[len(s)-1].to < len(text) && len(s) == 1 {
				first++
			} else if s[0].from > 0 {
				behind++
			}
		}
		if d, ok := heading(text); ok && d.Pedal {
			r.pedalHeading = true
		}
		if len(table().byKey[fold(halfAtEnd.ReplaceAllString(text, ""))]) > 0 {
			r.bareNames++
		}
		for _, name := range nameParts.FindAllString(text, -1) {
			langs := map[string]bool{}
			for _, n := range table().byKey[fold(name)] {
				langs[n.lang] = true
			}
			for lang := range langs {
				votes[lang] += 1 / float64(len(langs))
			}
		}
	}
	r.lengthFirst = first > behind
	top := 0.0
	for _, lang := range []string{"en", "de", "fr", "it", "es", "nl"} {
		if votes[lang] > top+1e-9 {
			r.list.Language, top = lang, votes[lang]
		}
	}
}

var (
	nameParts = lazyregexp.New(`\pL[\pL'\- ]*\pL`)
	bullet    = lazyregexp.New(`^[\s•·●○▪*\-–>+§†#°]+`)
	indexed   = lazyregexp.New(`^(?:\d{1,3}[a-c]? ?[.)]|\(\d{1,3}\)|No\. ?\d+|[a-z]\)|(?:i{1,3}|iv|vi{0,3}|ix|x{1,2}i{0,3}|xi?v)(?:[.)]|\s)) *`)
	rule      = lazyregexp.New(`^[\s|:\-=_*.+]+$`)
)

func stripBullet(s string) string {
	s = bullet.ReplaceAllString(s, "")
	if m := indexed.FindString(s); m != "" && len(m) < len(s) && !regexp.MustCompile(`^\d{1,3}\. ?(?i:man|klav|clav|tast|tecl)`).MatchString(s) {
		s = s[len(m):]
	}
	return bullet.ReplaceAllString(s, "")
}

// cell is a piece of a line that stands in a column of its own.
type cell struct {
	text   string
	index  int
	offset int
}

var gap = lazyregexp.New(`\t+| {3,}| {2,}`)

// cells parts a line where a table or wide gaps part it; a name and the length in the next cell are put together.
func (r *reader) cells(line string) (list []cell, table bool) {
	switch {
	case strings.Contains(line, "|"):
		table = true
		for i, t := range strings.Split(strings.TrimPrefix(strings.TrimSpace(line), "|"), "|") {
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
		lead := len(body) - len(strings.TrimLeft(body, " "))
		for _, g := range append(gap.FindAllStringIndex(body[lead:], -1), []int{len(body) - lead, len(body) - lead}) {
			if t := strings.TrimSpace(body[lead+at : lead+g[0]]); t != "" {
				list = append(list, cell{t, len(list), len([]rune(body[:lead+at]))})
			}
			at = g[1]
		}
	}
	return r.together(list), table
}

// footNumber is a whole pipe length.
var footNumber = lazyregexp.New(`^(?:64|32|16|8|4|2|1)$`)

var onlyNumber = lazyregexp.New(`^\(?\d{1,3}[.)]?$`)

// onlyLength tells whether text is a length or ranks and no name.
func onlyLength(text string) bool {
	s := spans(text)
	if len(s) == 0 {
		return false
	}
	rest := text
	for i := len(s) - 1; i >= 0; i-- {
		rest = rest[:s[i].from] + rest[s[i].to:]
	}
	return len(nameParts.FindAllString(rest, -1)) == 0
}

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
		case len(out) > 0 && isName(out[len(out)-1]) && bothHalves.FindString(c.text) == c.text:
			out[len(out)-1].text += " " + c.text
		case footNumber.MatchString(c.text) && len(out) > 0 && isName(out[len(out)-1]) && !printsFeet(out[len(out)-1].text) && !r.lengthFirst:
			out[len(out)-1].text += " " + c.text // the length, right-aligned before the next column
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

func (r *reader) line(number int, line string) {
	if rule.MatchString(line) {
		r.say(IsExtra, "a rule", "")
		return
	}
	if r.numbered[number] {
		line = bareNumber.ReplaceAllStringFunc(line, func(m string) string { return strings.TrimLeft(m, " \t0123456789") })
	}
	list, table := r.cells(line)
	if r.numbered[number] || len(r.numbered) > 0 && len(r.columns) > 1 {
		for i := 1; i < len(list); i++ {
			list[i].text = bareNumber.ReplaceAllStringFunc(list[i].text, func(m string) string { return strings.TrimLeft(m, " 0123456789") })
		}
	}
	if r.headings(list) || r.twoHands(list) {
		return
	}
	if !table && len(r.columns) > 1 && r.columnHeadings(list) {
		return
	}
	if len(list) > 1 && !table && r.section == inCouplers {
		r.piece(strings.Join(strings.Fields(line), " "), false)
		return
	}
	if len(list) > 1 && !table {
		if _, ok := heading(strings.Join(strings.Fields(line), " ")); ok {
			r.piece(strings.Join(strings.Fields(line), " "), false)
			return
		}
	}
	filled := 0
	for _, c := range list {
		if c.text != "" {
			filled++
		}
	}
	for _, c := range list {
		if c.text == "" {
			continue
		}
		if filled == 1 && len(r.columns) > 1 && !table && r.laidOut && r.section == inStops {
			r.current = r.columnOf(c, table)
			r.piece(c.text, false)
			continue
		}
		if len(r.hands) > 1 {
			r.half = r.handOf(c)
			r.piece(c.text, false)
			continue
		}
		if len(r.columns) > 1 && (table || filled > 1) {
			r.current = r.columnOf(c, table)
			r.section = inStops
			r.piece(c.text, false)
			continue
		}
		r.piece(c.text, len(r.columns) > 1)
	}
}

// headings reads a line that heads several columns.
func (r *reader) headings(list []cell) bool {
	var found []Division
	var at []cell
	for _, c := range list {
		if c.text == "" {
			continue
		}
		d, ok := heading(stripBullet(c.text))
		if !ok {
			if d, ok = heading(c.text); !ok {
				found = nil
				break
			}
		}
		found, at = append(found, d), append(at, c)
	}
	if len(list) == 1 && r.anyStops() && (looksLikeCoupler(list[0].text) || isExtra(plain(list[0].text))) {
		return false
	}
	if len(found) < 2 && len(list) == 1 {
		found = splitHeadings(list[0].text)
		at = make([]cell, len(found))
	}
	if len(found) < 2 {
		return false
	}
	r.columns, r.section = nil, inStops
	for i, d := range found {
		n := r.open(d)
		r.columns = append(r.columns, column{division: n, cell: at[i].index, offset: at[i].offset})
		r.say(IsHeading, r.headingText(n), "")
	}
	return true
}

// columnHeadings reads a line in which a column gets a new heading while the others go on: "GREAT ORGAN   30 Oboe 8", or a
// heading that stands over a column but the first.
func (r *reader) columnHeadings(list []cell) bool {
	var heads []int
	for i, c := range list {
		if _, ok := heading(stripBullet(c.text)); ok && c.text != "" {
			heads = append(heads, i)
		}
	}
	if len(heads) == 0 || len(list) == 1 && r.nearest(list[0]) == 0 {
		return false
	}
	for i, c := range list {
		if c.text == "" {
			continue
		}
		at := r.nearest(c)
		if len(heads) > 0 && heads[0] == i {
			heads = heads[1:]
			d, _ := heading(stripBullet(c.text))
			r.columns[at].division = r.open(d)
			r.current, r.section = r.columns[at].division, inStops
			r.say(IsHeading, r.headingText(r.current), "")
			continue
		}
		r.current, r.section = r.columns[at].division, inStops
		r.piece(c.text, false)
	}
	return true
}

// nearest is the index of the column over a cell.
func (r *reader) nearest(c cell) int {
	best := 0
	for i, col := range r.columns {
		if abs(col.offset-c.offset) < abs(r.columns[best].offset-c.offset) {
			best = i
		}
	}
	return best
}

// hand is a column with the stops of one half of the keyboard.
type hand struct {
	half   string
	offset int
}

// twoHands reads "Mano izquierda     Mano derecha": the halves stand side by side from here on.
func (r *reader) twoHands(list []cell) bool {
	if len(list) != 2 {
		return false
	}
	var hands []hand
	for _, c := range list {
		m := oneHand.FindStringSubmatch(strings.Trim(plain(c.text), " .:()"))
		if m == nil {
			return false
		}
		half := "treble"
		if m[1] != "" {
			half = "bass"
		}
		hands = append(hands, hand{half, c.offset})
	}
	if hands[0].half == hands[1].half {
		return false
	}
	r.hands = hands
	for _, h := range hands {
		r.say(IsExtra, "heading: "+h.half+" half", "")
	}
	return true
}

// handOf is the half in whose column a cell stands.
func (r *reader) handOf(c cell) string {
	best := r.hands[0]
	for _, h := range r.hands[1:] {
		if abs(h.offset-c.offset) < abs(best.offset-c.offset) {
			best = h
		}
	}
	return best.half
}

func (r *reader) anyStops() bool {
	for i := range r.list.Divisions {
		if len(r.list.Divisions[i].Stops) > 0 {
			return true
		}
	}
	return false
}

// splitHeadings parts "I. Grand-Orgue II. Récit expressif Pédale" into its headings; nil where it is anything else.
func splitHeadings(text string) []Division {
	words := strings.Fields(text)
	if len(words) < 2 || len(words) > 16 || len(spans(text)) > 6 {
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
				if n > 1 { // "Great Swell" is two
					a, okA := heading(strings.Join(words[i:i+n-1], " "))
					b, okB := heading(words[i+n-1])
					if okA && okB && a.Role != "" && b.Role != "" && a.Role != b.Role {
						continue
					}
				}
				break
			}
			ok = false
		}
		if !ok {
			return nil
		}
		out = append(out, d)
		i += n
	}
	roles := 0
	for _, d := range out {
		if d.Role != "" {
			roles++
		}
	}
	if len(out) < 2 || roles < 2 && roles < len(out)-1 {
		return nil
	}
	return out
}

func twice(list []Division, d Division) bool {
	for _, x := range list {
		if x.Name == d.Name {
			return true
		}
	}
	return false
}

func (r *reader) columnOf(c cell, table bool) int {
	if !table {
		return r.columns[r.nearest(c)].division
	}
	best := 0
	for i, col := range r.columns {
		if col.cell <= c.index {
			best = i
		}
	}
	return r.columns[best].division
}

func abs(x int) int { return max(x, -x) }

// open begins a division or goes on with one of the same name.
func (r *reader) open(d Division) int {
	for i := range r.list.Divisions {
		x := &r.list.Divisions[i]
		if d.Pedal && x.Pedal && len(x.Stops) == 0 && d.Number == x.Number { // it was named for its compass
			x.Name = d.Name
			return i
		}
		if strings.EqualFold(x.Name, d.Name) && (x.Number == d.Number || d.Number == 0) {
			x.Enclosed = x.Enclosed || d.Enclosed
			return i
		}
	}
	r.half, r.hands = "", nil
	d.order = len(r.list.Divisions)
	r.list.Divisions = append(r.list.Divisions, d)
	return d.order
}

func (r *reader) headingText(i int) string {
	d := &r.list.Divisions[i]
	s := d.Name
	if d.Number > 0 && d.Role != "" {
		s += fmt.Sprintf(", manual %d", d.Number)
	}
	if d.Pedal && d.Name != "Pedal" {
		s += ", pedal"
	}
	if d.Enclosed {
		s += ", in a swell box"
	}
	if d.LowKey > 0 {
		s += ", " + voicing.KeyText(d.LowKey) + "-" + voicing.KeyText(d.HighKey)
	}
	return s
}

// piece reads one cell. mixed is true where the stops of several columns stand in it, parted by nothing.
func (r *reader) piece(text string, mixed bool) {
	bare := stripBullet(text)
	if bare != strings.TrimSpace(text) {
		bare = innerCount.ReplaceAllString(bare, ", $1")
	}
	if label, rest, found := strings.Cut(bare, ":"); found && len(label) < 60 {
		if r.labelled(strings.TrimSpace(label), strings.TrimSpace(rest)) {
			return
		}
	}
	for _, t := range []string{text, bare} {
		if d, ok := heading(t); ok && !(r.section == inCouplers && d.Role == "") {
			r.current, r.section, r.columns = r.open(d), inStops, nil
			r.say(IsHeading, r.headingText(r.current), "")
			return
		}
	}
	if r.headed(bare) {
		return
	}
	if s := sectionOf(bare); s != "" {
		r.section, r.columns = s, nil
		r.say(IsExtra, "heading: "+s, "")
		return
	}
	if mixed && r.mixedStops(bare) {
		return
	}
	r.items(bare)
}

// innerCount is the number of a second column: "1. Holpijp 8' 5. Quint 3'".
var innerCount = lazyregexp.New(` \d{1,3}[.)] +(\p{Lu}\pL{2,})`)

// headed reads "II. Manual Traversflöte 8'" and "Pedal Gemshorn 8'": a heading and stops with nothing between them.
func (r *reader) headed(text string) bool {
	words := strings.Fields(text)
	if low := plain(text); len(words) > 3 && strings.EqualFold(words[0], "couplers") && looksLikeCoupler(strings.TrimPrefix(low, "couplers ")) {
		r.section, r.columns = inCouplers, nil
		r.items(strings.TrimSpace(text[len(words[0]):]))
		return true
	}
	if r.headedList(text, words) {
		return true
	}
	for n := min(4, len(words)-2); n > 0; n-- {
		d, ok := heading(strings.Join(words[:n], " "))
		if !ok || d.Role != "" && !d.Pedal || d.Role == "" && !strings.Contains(plain(strings.Join(words[:n], " ")), "man") && !strings.Contains(plain(strings.Join(words[:n], " ")), "klav") {
			continue
		}
		rest := strings.Join(words[n:], " ")
		found, _ := r.stopsIn(rest, d.Pedal)
		if len(found) == 0 || found[0].how != exactly || !found[0].printedFeet {
			return false
		}
		if d.Pedal { // "Pedal Open Diapason 16" within the pedal, or a name of its own
			if r.current >= 0 && r.list.Divisions[r.current].Pedal {
				return false
			}
		}
		r.current, r.section, r.columns = r.open(d), inStops, nil
		r.say(IsHeading, r.headingText(r.current), "")
		r.items(rest)
		return true
	}
	return false
}

// headedList reads "GREAT Open Diapason 8 (58), Dulciana 8 (58), …": the name of a manual and its stops, parted by commas.
func (r *reader) headedList(text string, words []string) bool {
	if len(splitList(text)) < 2 && len(spans(text)) < 3 {
		return false
	}
	for n := min(3, len(words)-2); n > 0; n-- {
		d, ok := heading(strings.Join(words[:n], " "))
		if !ok || d.Role == "" && !d.Pedal {
			continue
		}
		rest := strings.Join(words[n:], " ")
		if sp := spans(rest); len(sp) > 1 && sp[0].from == 0 && sp[len(sp)-1].to < len(rest) && strings.Count(rest, "(") < len(sp) {
			defer func(before bool) { r.lengthFirst = before }(r.lengthFirst)
			r.lengthFirst = true // "GREAT ORGAN 16 Bourdon 8 Principal"
		}
		found, _ := r.stopsIn(rest, d.Pedal)
		exact := 0
		for _, s := range found {
			if s.how == exactly && s.printedFeet {
				exact++
			}
		}
		if exact < 2 || found[0].how != exactly {
			continue
		}
		r.current, r.section, r.columns = r.open(d), inStops, nil
		r.say(IsHeading, r.headingText(r.current), "")
		r.items(rest)
		return true
	}
	return false
}

// labelled reads "Great: Open Diapason 8, …", "Koppeln: II/I" and "Action: mechanical".
func (r *reader) labelled(label, rest string) bool {
	if d, ok := heading(label); ok {
		r.current, r.section, r.columns = r.open(d), inStops, nil
		r.say(IsHeading, r.headingText(r.current), "")
		if rest != "" {
			r.items(rest)
		}
		return true
	}
	if s := sectionOf(label); s != "" {
		r.section, r.columns = s, nil
		if low := plain(label); rest != "" && (strings.HasPrefix(low, "tirasse") || strings.Contains(low, "wind")) {
			rest = label + " " + rest // the word belongs to each that follows
		}
		if rest == "" {
			r.say(IsExtra, "heading: "+s, "")
		} else {
			r.items(rest)
		}
		return true
	}
	return false
}

var sectionWords = map[string][]string{
	inCouplers: {"couplers", "coupler", "koppeln", "koppel", "koppelingen", "accouplements", "accouplement", "unioni", "unioni e accoppiamenti", "acoplamientos", "enganches", "koppelungen", "kopplungen", "tirasses et accouplements", "accouplements et tirasses", "inter-manual couplers", "normalkoppeln", "koppels", "unioni ed accoppiamenti", "unions", "copulas", "tirasses", "manual couplers", "pedal couplers", "accoppiamenti", "mechanische koppeln", "elektrische koppeln", "pedalkoppeln", "manualkoppeln", "koppeln und spielhilfen", "koppelwerk"},
	inExtras: {"accessories", "accessori", "accessoires", "spielhilfen", "accesorios", "accessoire", "nebenregister", "accessory", "combinations", "pistons", "speelhulpen", "werktuiglijke registers", "playing aids", "details", "technical", "notes", "note", "compass", "umfang", "ambitus", "nebenzüge", "hilfsregister", "werkregister", "kombinationen", "combinaisons", "divers", "annullatori", "pedaletti", "pistoncini", "toe pistons", "composition pedals", "combination pedals", "thumb pistons", "swell pedals", "sonstiges", "anmerkungen",
		"winddruck", "wind", "klaviaturumfänge", "technische daten", "key action", "traktur", "effekte", "effektregister", "action", "registrierhilfen", "bemerkungen", "legende", "quellen", "literatur", "history", "references", "einzelnachweise", "mechanicals"},
}

func sectionOf(text string) string {
	low := strings.Trim(plain(text), " .:*-_()")
	for s, words := range sectionWords {
		for _, w := range words {
			if low == plain(w) {
				return s
			}
		}
	}
	if len(strings.Fields(low)) <= 4 && containsAny(low, "accessor", "spielhilf", "combination system", "playing aids", "nebenregister", "speelhulp", "stop action", "key action", "technical") {
		return inExtras
	}
	return ""
}

// items reads what stands in a list parted by commas, or a single item.
func (r *reader) items(text string) {
	if r.halves && r.section == inStops {
		text = spellHalves(text)
	}
	low := plain(text)
	words := len(strings.Fields(low))
	if r.inParts(text, words) {
		return
	}
	if r.section == inCouplers {
		if !looksLikeCoupler(text) && words > 1 {
			if said := r.list.facts(text); len(said) > 0 {
				r.say(IsFact, strings.Join(said, ", "), "")
				return
			}
		}
		r.couplers(text)
		return
	}
	if r.noStop(text, low) {
		return
	}
	found, left := r.stopsIn(text, r.inPedal())
	if r.isProse(text, low, words, found, left) || len(found) == 0 || r.current < 0 && !r.startsUnheaded(found, text) {
		r.other(text, low, words)
		return
	}
	if r.current < 0 {
		half, hands := r.half, r.hands
		r.current = r.open(Division{Name: "Manual"})
		r.half, r.hands = half, hands
		r.list.Assumed = append(r.list.Assumed, "no heading stands over the first stops: they are taken as one manual")
	}
	for _, s := range found {
		r.add(r.current, s)
	}
	for _, t := range left {
		r.leftOver(t, r.current)
	}
}

// inPedal says whether the division under way is the pedal.
func (r *reader) inPedal() bool { return r.current >= 0 && r.list.Divisions[r.current].Pedal }

// inParts reads two rows that stand on one line, or the sentences of a text, one by one; false where it is neither.
func (r *reader) inParts(text string, words int) bool {
	if r.section == inStops {
		if rows := r.twoInARow(text, r.inPedal()); len(rows) > 0 {
			for _, t := range rows {
				r.items(t)
			}
			return true
		}
		if words == 0 && text != "" {
			return true // signs alone
		}
	}
	s := sentences(text)
	if r.isStop(text) || len(s) < 2 || len(spans(text)) > 0 || words >= 12 {
		return false
	}
	for _, t := range s {
		r.items(strings.Trim(t, " ."))
	}
	return true
}

// noStop reads what stands among stops and is none: the heading of a half or of the lengths, an accessory, a compass.
func (r *reader) noStop(text, low string) bool {
	if m := oneHand.FindStringSubmatch(strings.Trim(low, " .:()")); m != nil {
		r.half = "treble"
		if m[1] != "" {
			r.half = "bass"
		}
		r.say(IsExtra, "heading: "+r.half+" half", "")
		return true
	}
	switch strings.Trim(low, " .:") {
	case "ft", "feet", "fuss", "fuß", "pieds", "voet":
		r.say(IsExtra, "heading of the lengths", "")
		return true
	}
	if strings.HasPrefix(low, "terza mano") || strings.HasPrefix(low, "pedalett") {
		r.say(IsExtra, "an accessory without pipes", "")
		return true
	}
	return r.compassLine(text)
}

// isProse tells a text that names stops in passing, or an accessory or a coupler with a stop's name in it, from a list of stops.
func (r *reader) isProse(text, low string, words int, found []foundStop, left []string) bool {
	exact := 0
	for _, s := range found {
		if len(s.grouped) > 0 {
			exact++
		}
	}
	n := len(found)
	switch {
	case n == 0:
		return false
	case r.section == inStops && exact == 0 && words > 6 && n*4 < words,
		isExtra(low) && !anyExact(found),
		n <= 2 && words > 4+3*n && len(left) > 0 && found[0].how != exactly,
		r.section == inExtras && exact == 0,
		looksLikeCoupler(text):
		return true
	}
	return r.section == inExtras && r.current >= 0 && exact < len(left)+1
}

// isStop tells whether text is one stop by its whole name: "Liebl. Gedackt" is no sentence.
func (r *reader) isStop(text string) bool {
	s, ok := r.nameOnly(text, r.current >= 0 && r.list.Divisions[r.current].Pedal, nil)
	return ok && s.how == exactly
}

func anyExact(found []foundStop) bool {
	for _, s := range found {
		if s.how == exactly {
			return true
		}
	}
	return false
}

// compassLine reads a line that is nothing but the compass of the division.
func (r *reader) compassLine(text string) bool {
	if r.current < 0 {
		return false
	}
	d := &r.list.Divisions[r.current]
	low, high, rest, _, ok := findCompass(strings.Trim(text, "() "), d.Pedal)
	if !ok || strings.Trim(parens.ReplaceAllString(rest, " "), " .,:;-") != "" {
		return false
	}
	d.LowKey, d.HighKey = low, high
	r.say(IsFact, d.Name+": "+voicing.KeyText(low)+"-"+voicing.KeyText(high), "")
	return true
}

// oneHand heads the stops of half a keyboard.
var oneHand = lazyregexp.New(`^(?:(mano izquierda|bajos?|bassi|m\.? ?i\.?|basse|bas|bass)|mano derecha|tiples?|soprani|m\.? ?d\.?|dessus|discant|diskant|treble)$`)

func (r *reader) startsUnheaded(found []foundStop, text string) bool {
	for _, s := range found {
		if r.bareNames >= 4 && s.how == exactly && len(found) == 1 {
			return true
		}
		if s.printedFeet && len(strings.Fields(text)) < 5*len(found)+3 {
			return true
		}
	}
	return false
}

// other reads what is no stop.
func (r *reader) other(text, low string, words int) {
	if r.tremulant(text, low) {
		return
	}
	if words > 6 && pulledDown.MatchString(text) {
		r.list.facts(text)
		r.say(IsCoupler, "", "")
		at := len(r.list.Lines) - 1
		r.waiting = append(r.waiting, waiting{at, len(r.list.Lines[at].Readings) - 1, "angehängtes Pedal", r.current})
		return
	}
	if words <= 45 && looksLikeCoupler(text) {
		r.couplers(text)
		return
	}
	if said := r.list.facts(text); len(said) > 0 {
		r.say(IsFact, strings.Join(said, ", "), "")
		r.year(text)
		return
	}
	r.year(text)
	if isExtra(low) {
		r.say(IsExtra, "an accessory without pipes", "")
		return
	}
	if r.lastNote(text) {
		r.say(IsExtra, "a remark on the stop above", "")
		return
	}
	if containsAny(low, " stops", " register", " jeux", " pipes", " registri") && words > 2 || strings.HasPrefix(text, "(") && strings.HasSuffix(text, ")") || startsSmall(text) && words > 2 {
		r.say(IsProse, "no part of the stop list", "")
		return
	}
	if r.section == inExtras || words > 7 || r.current < 0 {
		if r.list.Title == "" && r.current < 0 && words <= 12 && sectionOf(text) == "" && !strings.Contains(low, "disposition") {
			r.list.Title = strings.Trim(strings.TrimSpace(text), ".:# ")
		}
		r.say(IsProse, "no part of the stop list", "")
		return
	}
	if strings.ContainsAny(text, ",;") && len(splitList(text)) > 1 {
		for _, t := range splitList(text) {
			r.leftOver(t, r.current)
		}
		return
	}
	r.say(IsUnread, strings.TrimSpace(text), "")
}

// lastNote reads a line that only says something of the stop before it, such as "transmissie".
func (r *reader) lastNote(text string) bool {
	if r.current < 0 || len(strings.Fields(text)) > 3 || !noteOnly(strings.Trim(text, "() ")) {
		return false
	}
	stops := r.list.Divisions[r.current].Stops
	if len(stops) == 0 {
		return false
	}
	f := foundStop{Stop: stops[len(stops)-1]}
	r.note(&f, text)
	stops[len(stops)-1] = f.Stop
	return true
}

func (r *reader) leftOver(text string, division int) {
	text = strings.Trim(text, " .,;-")
	low := plain(text)
	switch {
	case text == "" || len(nameParts.FindAllString(text, -1)) == 0 && len(text) < 5:
	case r.tremulant(text, low):
	case looksLikeCoupler(text):
		r.couplers(text)
	case isExtra(low):
		r.say(IsExtra, "an accessory without pipes", "")
	default:
		if said := r.list.facts(text); len(said) > 0 {
			r.say(IsFact, strings.Join(said, ", "), "")
			return
		}
		if len(strings.Fields(text)) > 6 {
			r.say(IsProse, "no part of the stop list", "")
			return
		}
		r.say(IsUnread, text, "")
	}
}

var built = lazyregexp.New(`(?i)(?:built|erbaut|gebaut|construit|costruito|gebouwd|construido|opus|neubau|baujahr|anno|bouwjaar|builder|orgelbauer|made by)`)

func (r *reader) year(text string) {
	m := yearText.FindStringSubmatch(text)
	if m == nil || r.list.Facts.Year != 0 && !built.MatchString(text) {
		return
	}
	r.list.Facts.Year = atoi(m[1])
}

var atOctaves = lazyregexp.New(`(?i) at (?:the )?octaves?\b`)

// couplers reads a list of couplers: they wait until all divisions are known.
func (r *reader) couplers(text string) {
	low := plain(text)
	if r.tremulant(text, low) {
		return
	}
	text = strings.TrimSpace(regexp.MustCompile(`^(?i)(koppeln|couplers|koppelingen|accouplements|unioni|kopplungen)\s*[:\-]\s*`).ReplaceAllString(text, ""))
	var pieces []string
	text = atOctaves.ReplaceAllString(strings.ReplaceAll(text, "koppel / ", "koppel, "), " octave")
	for _, sentence := range sentences(text) {
		from := len(pieces)
		for _, p := range splitList(sentence) {
			if len(pieces) > from && (refOf(p).known() && !isPair(p) || shiftMarks.MatchString(p) && stripShift(p) == "") {
				pieces[len(pieces)-1] += ", " + p // "Tirasses GO, Pos, Réc"; "Swell to Great 16, 8, 4"
				continue
			}
			pieces = append(pieces, p)
		}
	}
	extra := false
	for _, p := range pieces {
		p = strings.Trim(stripBullet(p), " .;")
		if p == "" {
			continue
		}
		if r.tremulant(p, plain(p)) {
			continue
		}
		if (isExtra(plain(p)) || extra) && !looksLikeCoupler(p) {
			extra = true
			r.say(IsExtra, "an accessory without pipes", "")
			continue
		}
		r.say(IsCoupler, p, "")
		at := len(r.list.Lines) - 1
		r.waiting = append(r.waiting, waiting{at, len(r.list.Lines[at].Readings) - 1, p, r.current})
	}
}

var sentenceEnd = lazyregexp.New(`\.\s+(\p{Lu})`)

// sentences parts text at full stops before a capital, not at those of short words such as "Réc.".
func sentences(text string) []string {
	var out []string
	at := 0
	for _, m := range sentenceEnd.FindAllStringSubmatchIndex(text, -1) {
		word := text[strings.LastIndexAny(text[:m[0]], " .,/")+1 : m[0]]
		if len([]rune(word)) <= 3 {
			continue
		}
		out = append(out, text[at:m[0]])
		at = m[2]
	}
	return append(out, text[at:])
}

var tremulantText = lazyregexp.New(`(?i)^(?:kanal|bock|fort|doux|\d )?[ -]*(?:tremulante?n?|tremolos?|trémolos?|tremblante?|tremblants?|trem\.?|tremul\.?|trémol[oi]s?|bebung|tremulation|tremolant[e]?|tremor|trémulant|temblor|tremulo)(?:$|[^\pL])(.*)$`)

// tremulant reads "Tremulant", "Trémolo Réc.", "Tremulant (Great & Swell)".
// afterTremulant is what a line adds to a tremulant that is none.
var afterTremulant = lazyregexp.New(`(?i)[,;] *(?:appel|anches|combinaison|tutti|zimbelstern|cymbelstern).*$`)

func (r *reader) tremulant(text, low string) bool {
	text = strings.TrimSpace(afterTremulant.ReplaceAllString(text, ""))
	m := tremulantText.FindStringSubmatch(text)
	if m == nil {
		if strings.ContainsAny(text, ",;") {
			return false
		}
		i := strings.Index(low, "tremul")
		if i < 0 {
			i = strings.Index(low, "tremolo")
		}
		if i < 0 {
			i = strings.Index(low, "trembl")
		}
		if i < 0 || len(strings.Fields(low)) > 6 {
			return false
		}
		m = []string{"", text}
	}
	r.say(IsTremulant, "tremulant", "")
	at := len(r.list.Lines) - 1
	division := r.current
	if r.section != inStops {
		division = -1
	}
	r.waiting = append(r.waiting, waiting{at, len(r.list.Lines[at].Readings) - 1, m[1], division})
	return true
}

var extraWords = []string{"zimbelstern", "cymbelstern", "cimbelstern", "zymbelstern", "cymbalstern", "nachtigall", "rossignol", "nightingale", "vogel", "glocken", "campan", "chimes", "timball", "timpan", "terza mano", "tambour", "tambur", "uccelli", "pedaletti", "pauke", "ventil", "kalkant", "calcant", "walze", "crescendo", "schweller", "schwelltritt", "swell pedal", "expression", "espressione", "staffa", "appel", "combination", "sperrventil", "harp", "usignol", "banda", "gran cassa", "rollante", "polisire", "tiratutti", "setzer", "leerlauf", "tutti", "handregister", "zungen ab", "anches", "transpos", "midi", "einfuhrungstritt", "windablas", "motor", "blank", "stern", "pleno", "plenum", "fortissimo", "graduatore", "cuckoo", "kuckuck", "piston", "reversible", "absteller", "annull", "xylophon", "celesta", "marimba", "balanced", "storm", "orage", "donner", "drum", "stella", "bellows", "balg", "trommel", "forte general", "rullante", "drawstop", "toe stud", "kombination", "combinazion", "combinaison", "vacant", "prepared", "glissando", "pajar", "cascabel", "ruisenor", "gaita", "zampogna a mano", "bells", "cloches", "carillon", "usignuolo", "sonnerie", "cymbala", "jalousie", "registerschweller", "rollschweller", "gruppenzug", "prolongement", "sostenuto", "organo pleno", "shutters", "swell to mixture", "zink stern", "lingue", "sustain", "ventiel", "windlosser", "afsluit", "afsluiter", "omloop", "nachthoorn ster", "combinatie"}

func isExtra(low string) bool {
	for _, w := range extraWords {
		if i := strings.Index(low, w); i >= 0 && (len(w) > 5 || i == 0 || !unicode.IsLetter(rune(low[i-1])) && low[i-1] < 0x80) {
			return true
		}
	}
	return false
}

// splitList parts at commas and semicolons, not within brackets or numbers.
func splitList(text string) []string {
	var out []string
	depth, at := 0, 0
	for i := 0; i < len(text); i++ {
		switch c := text[i]; {
		case c == '(' || c == '[':
			depth++
		case c == ')' || c == ']':
			depth = max(0, depth-1)
		case depth == 0 && (c == ',' || c == ';') || depth == 0 && strings.HasPrefix(text[i:], "•") || depth == 0 && strings.HasPrefix(text[i:], "·"):
			if c == ',' && i > 0 && i+1 < len(text) && digit(text[i-1]) && digit(text[i+1]) {
				continue
			}
			out = append(out, strings.TrimSpace(text[at:i]))
			at = i + 1
			if c != ',' && c != ';' {
				for at < len(text) && text[at] >= 0x80 && text[at] < 0xc0 {
					at++
				}
				i = at - 1
			}
		}
	}
	return slices.DeleteFunc(append(out, strings.TrimSpace(text[at:])), func(s string) bool { return s == "" })
}

func digit(c byte) bool { return c >= '0' && c <= '9' }
