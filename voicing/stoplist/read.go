package stoplist

import (
	"fmt"
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// maxText bounds a stop list, bytes.
const maxText = 1 << 18

// reader goes through a list line by line.
type reader struct {
	list          *List
	current       int // index into list.Divisions, -1 before the first heading
	columns       []column
	headCells     int    // of the table's line of headings
	rowCells      int    // of the table's line under way
	widerRows     bool   // names and lengths are cells of their own
	section       string // inStops, inCouplers, inExtras
	lengthFirst   bool   // "8' Principal" rather than "Principal 8'"
	numbered      map[int]bool
	pedalHeading  bool
	halves        bool   // halves of the keyboard are letters behind the lengths
	half          string // "bass" or "treble" under a heading for one hand
	hands         []hand // the two halves side by side
	laidOut       bool   // the text keeps the places of its columns: some line begins far to the right
	noLengths     bool   // hardly a line has one
	bareNames     int    // lines and cells that are the name of a stop and nothing else
	waiting       []waiting
	bordered      bool   // the rows of tables begin with a bar
	row           []int  // divisions headed one after the other
	unplaced      bool   // the columns follow each other in a line with nothing to tell their places
	whole         string // the list in plain text
	remarks       bool   // lines are a stop and, behind a dash, what is said of it
	blocks        []block
	byCouplers    []string // the manuals of a list without headings, by its couplers
	unheaded      int      // manuals opened without a heading
	makers        bool     // letters in brackets name the makers of the pipes
	fullRank      int      // pipes of a whole rank, where the list counts them
	fullPedal     int      // and of the pedal
	trebleKey     int      // where the halves of the keyboard meet; 0 where the list does not say
	anyHeading    bool     // some line heads a manual
	lines         []string
	onLowF        bool // the lengths are those of a low F
	either        int  // the number of the manual on which the stops under way are drawn as well
	starred       int  // and those of them with a star
	anyColumn     bool // the columns of a table go on, and which one the cell under way stands in cannot be told
	at            int  // index of the line under way
	afterBreak    bool // an empty line stands before it, or the count of the stops begins again
	divisionCells bool // a cell of each row names the division of its stop
	programme     bool // a piece of music or a notice stood before
	pedalAction   bool // no more is known of the action than what the pedal's is
	units         map[string]unit
	unitLines     map[int]string // lines that name a rank
	unitStops     map[int]string // lines of stops that are drawn from one
	nextInBox     part           // what the heading under way says of its stops
	over          bool           // the list has come to its end: a letter's farewell, or the next programme
}

// Read reads a stop list. It never fails: what it does not understand stands in the list's lines.
func Read(text string) *List {
	if len(text) > maxText {
		text = text[:maxText]
	}
	r := &reader{list: &List{}, current: -1, section: inStops}
	lines, from := unrolled(rejoin(withPairs(withValues(countedTable(barredTable(cellsALine(separatedTable(withoutMarkup(strings.Split(uniform(text), "\n"))))))))))
	lines = withLegends(r.findUnits(withoutKnobNumerals(withoutDittos(lines))))
	lines = spellCounts(withoutRankLetters(countedByDash(lines)))
	r.lines, r.whole = lines, plain(strings.Join(lines, " \n "))
	r.survey(lines)
	r.makers = marksMakers(lines)
	r.countFull(lines)
	r.onLowF = printsLowF(lines)
	r.divisionCells = namesDivisionsInCells(lines)
	r.halves = r.list.Language == "it" && halvesByLetter(lines)
	if r.blocks = r.unheadedBlocks(lines); r.blocks != nil {
		r.byCouplers = r.rolesByCouplers(lines)
	}
	for i, line := range lines {
		if strings.TrimSpace(tidy(line)) == "" {
			continue
		}
		r.list.Lines = append(r.list.Lines, Line{Number: from[i].number, Text: from[i].printed})
		if from[i].prose {
			if !r.onlyAccessories(line) {
				r.history(line)
			}
			continue
		}
		if len(r.blocks) > 0 && len(r.hands) < 2 && i >= r.blocks[0].from && r.stopCells(tidy(line)) > 0 {
			r.openBlock(r.blocks[0])
			r.blocks = r.blocks[1:]
		}
		r.at, r.afterBreak = i, i > 0 && strings.TrimSpace(tidy(lines[i-1])) == "" || firstCount.MatchString(line)
		line = r.partOf(tidy(line))
		if letter := r.unitLines[i]; letter != "" {
			r.say(IsFact, "rank "+letter+": "+r.units[letter].name+" ("+r.units[letter].kind.describe()+")", "")
			continue
		}
		if r.mayBeFrench() && leadsToCouplers(line) && !alsoAt.MatchString(line) {
			line = frenchCouplers(line)
		}
		if line == "" || r.noticed(line) || r.headedWithFacts(line) || r.sizeOf(line) {
			continue
		}
		if label, value, found := labelOf(line); r.headedByRegister(line) || found && r.formLine(label, value) {
			continue
		}
		if r.couplersBySign(line) {
			continue
		}
		if low := plain(line); strings.HasPrefix(low, "divis") && halvesMeet.MatchString(low) {
			r.say(IsFact, "the halves of the keyboard meet at "+voicing.KeyText(r.divide()), "")
			continue
		}
		parts := runOn(line)
		if len(parts) > 1 && splitHeadings(line) != nil { // "Hoofdwerk: Rugwerk: Pedaal:" over the columns of a table
			parts = []string{line}
		}
		for _, part := range parts {
			if label, value, found := labelOf(part); len(parts) == 1 || !found || !r.formLine(label, value) {
				r.line(i, part)
			}
		}
	}
	r.finish()
	r.list.ask()
	return r.list
}

func (r *reader) say(what, text, ask string) {
	switch {
	case what == IsHeading:
		r.over = false
	case what == IsUnread && r.over:
		what, text = IsProse, "no part of the stop list"
	}
	at := &r.list.Lines[len(r.list.Lines)-1]
	if (what == IsHeading || what == IsFact) && compassSaid.MatchString(text) {
		if low := r.lowAssumed(at); ask != "" && low != "" {
			ask += "; " + low
		} else {
			ask += low
		}
	}
	at.Readings = append(at.Readings, Reading{what, text, ask})
}

var bareNumber = lazyregexp.New(`^\s*(\d{1,3})\s+['"*]?(?:\pL|\d(?:è?re|er|ème|e|nde|de|ª|º|st|nd) \pL)`)

// innerNumber counts a stop of the next column: "1 Prestant 8' 10 Holpijp 8'".
var innerNumber = lazyregexp.New(`('|sterk|fach|ranks|rgs) +\d{1,2} (\p{Lu}\p{Ll}{2})`)

// halvesMeet finds the key where the treble half begins: "divisione bassi/soprani ai tasti Si2-Do3", "spezzata tra si2 e do3".
var halvesMeet = lazyregexp.New(`(?:divis|div\.|spezza|partid)[^.\n]{0,40}?(?:do|re|mi|fa|sol|la|si)(?: ?#| diesis| bemolle|b|d)? ?\d ?(?:-|/|e|y) ?((?:do|re|mi|fa|sol|la|si) ?#? ?\d)`)

// survey looks at the whole list: its language, whether lengths stand before names, which numbers only count the lines.
func (r *reader) survey(lines []string) {
	r.numbered = map[int]bool{}
	lastLine, last := -1, -1
	var counted []int // lines whose numbers follow each other
	first, behind, dashed := 0, 0, 0
	withLength, filled := 0, 0 // lines
	votes := map[string]float64{}
	if m := halvesMeet.FindStringSubmatch(r.whole); m != nil {
		if key := keyNamed(m[1]); key >= 48 && key <= 72 {
			r.trebleKey = key
		}
	}
	rows, bars := 0, 0
	for i, line := range lines {
		if strings.Contains(line, "|") {
			rows++
			if strings.HasPrefix(strings.TrimSpace(line), "|") {
				bars++
			}
		}
		r.laidOut = r.laidOut || farRight.MatchString(line)
		line = tidy(line)
		if m := bareNumber.FindStringSubmatch(line); m != nil && !ranksUnit.MatchString(strings.Fields(line)[1]) { // "4 rangs Plein jeu" has ranks
			n := atoi(m[1])
			if lastLine >= 0 && n == last+1 {
				counted = append(counted, i)
			} else {
				counted = []int{i}
			}
			if len(counted) == 3 || len(counted) == 2 && counted[1]-counted[0] < 6 { // "2 manuals" and far below it "3 pistons" count no lines
				for _, k := range counted {
					r.numbered[k] = true
				}
			} else if len(counted) > 3 {
				r.numbered[i] = true
			}
			lastLine, last = i, n
		}
		text := strings.TrimSpace(stripBullet(line))
		if text != "" {
			filled++
		}
		if len(spansOfFeet(pipesSaid.ReplaceAllString(text, ""))) > 0 {
			withLength++
		}
		if ahead, after := sizesInCells(text); ahead != after {
			if ahead {
				first++
			} else {
				behind++
			}
		} else if s := spans(text); len(s) > 0 && len(text) < 60 {
			if s[0].from == 0 && s[len(s)-1].to < len(text) && len(s) == 1 {
				first++
			} else if s[0].from > 0 {
				behind++
			}
		}
		if head, rest, found := cutDash(text); found && isRemark(head, rest) {
			dashed++
		}
		if d, ok := heading(text); ok {
			if r.at = i; d.Pedal && (!saysKeyboards(text) || r.pedalFollows()) {
				r.pedalHeading = true
			}
			r.anyHeading = r.anyHeading || !d.Pedal
		} else if _, _, ok := headAndFact(text); ok {
			r.anyHeading = true
		}
		for _, c := range strings.Split(text, "\t") {
			bare, _, _ := strings.Cut(nameBrackets.ReplaceAllString(spellHalves(c), " "), ",")
			if len(table().byKey[fold(halfAtEnd.ReplaceAllString(strings.TrimSpace(bare), ""))]) > 0 {
				r.bareNames++
			}
		}
		for _, name := range namesIn(text) {
			langs := map[string]bool{}
			for _, n := range table().byKey[fold(name)] {
				langs[n.lang] = true
			}
			for lang := range langs {
				votes[lang] += 1 / float64(len(langs))
			}
		}
	}
	for _, w := range strings.Fields(r.whole) {
		if lang := commonWords[strings.Trim(w, ".,:;()'")]; lang != "" {
			votes[lang] += 0.4
		}
	}
	r.lengthFirst = first > behind
	r.noLengths = withLength*6 < filled
	r.bordered = bars*2 > rows
	r.remarks = dashed >= 4
	top := 0.0
	for _, lang := range []string{"en", "de", "fr", "it", "es", "nl", "sv", "pl", "cs", "fi"} {
		if votes[lang] > top+1e-9 {
			r.list.Language, top = lang, votes[lang]
		}
	}
}

// commonWords tell the language of a list whose names are shared or shortened.
var commonWords = map[string]string{
	"the": "en", "and": "en", "of": "en", "to": "en", "church": "en", "gt": "en", "great": "en", "swell": "en", "organ": "en", "stop": "en", "notes": "en",
	"und": "de", "der": "de", "die": "de", "orgel": "de", "koppeln": "de", "fuß": "de", "fach": "de", "kirche": "de", "hauptwerk": "de",
	"les": "fr", "du": "fr", "jeux": "fr", "l'orgue": "fr", "et": "fr", "récit": "fr", "recit": "fr", "tirasse": "fr", "eglise": "fr", "clavier": "fr",
	"della": "it", "dell'organo": "it", "parrocchia": "it", "chiesa": "it", "note": "it", "tast.": "it", "soprani": "it", "bassi": "it", "il": "it", "e": "it", "registri": "it", "tastiera": "it", "canne": "it", "unione": "it", "file": "it", "organo": "it",
	"y": "es", "teclado": "es", "mano": "es", "notas": "es", "iglesia": "es", "el": "es", "los": "es", "hileras": "es",
	"och": "sv", "og": "sv", "är": "sv", "er": "sv", "av": "sv", "af": "sv", "på": "sv", "til": "sv", "orgeln": "sv", "orglet": "sv", "kyrka": "sv", "kirke": "sv", "stammor": "sv", "stemmer": "sv", "huvudverk": "sv", "hovedværk": "sv", "hovedverk": "sv", "svallverk": "sv", "svelleværk": "sv", "fot": "sv", "kor": "sv", "rygpositiv": "sv", "brystværk": "sv", "ryggpositiv": "sv", "brostverk": "sv", "kobling": "sv", "kopling": "sv", "fran": "sv", "fra": "sv",
	"organow": "pl", "organy": "pl", "manuał": "pl", "pedał": "pl", "dyspozycja": "pl", "lacznik": "pl", "polaczenia": "pl", "głosy": "pl", "głosow": "pl", "kosciol": "pl", "kosciele": "pl", "traktura": "pl", "wiatrownice": "pl", "od": "pl",
	"varhany": "cs", "varhan": "cs", "spojky": "cs", "spojka": "cs", "stroj": "cs", "rejstriku": "cs", "rejstriky": "cs", "dispozice": "cs", "kostel": "cs", "pedál": "cs",
	"het": "nl", "van": "nl", "en": "nl", "vt": "nl", "sterk": "nl", "kerk": "nl", "hoofdwerk": "nl", "koppelingen": "nl", "dispositie": "nl", "rugwerk": "nl", "bovenwerk": "nl", "borstwerk": "nl", "pedaal": "nl", "vrij": "nl", "voet": "nl", "koppels": "nl", "winddruk": "nl", "toonhoogte": "nl",
	"paapillisto": "fi", "jalkio": "fi", "paisutuskaapisto": "fi", "yhdistimet": "fi", "urut": "fi", "urkujen": "fi", "kirkon": "fi", "aanikerrat": "fi", "sormio": "fi", "manuaal": "fi", "kopplid": "fi", "manualis": "fi", "kopulas": "fi", "ja": "fi",
}

// namesIn are the phrases of text that may be names: what stands between lengths and signs, and in a row of words each of up to three.
func namesIn(text string) []string {
	var out []string
	for _, phrase := range nameParts.FindAllString(text, -1) {
		words := strings.Fields(phrase)
		if len(words) <= 4 {
			out = append(out, phrase)
			continue
		}
		for i := range words {
			for n := 1; n <= 3 && i+n <= len(words); n++ {
				if name := strings.Join(words[i:i+n], " "); len(name) > 4 {
					out = append(out, name)
				}
			}
		}
	}
	return out
}

func (r *reader) line(number int, line string) {
	if rule.MatchString(line) {
		r.say(IsExtra, "a rule", "")
		return
	}
	if r.numbered[number] {
		line = bareNumber.ReplaceAllStringFunc(line, inItsPlace)
		if !gap.MatchString(strings.TrimSpace(line)) {
			line = innerNumber.ReplaceAllString(line, "$1 $2")
		}
	}
	if r.makers {
		line = bracketLetter.ReplaceAllString(line, "")
	}
	list, table := r.cells(line)
	r.widerRows = table && len(r.columns) > 1 && r.headCells == len(r.columns) && r.lengthsInCells(line)
	if r.numbered[number] || len(r.numbered) > 0 && len(r.columns) > 1 {
		for i := 1; i < len(list); i++ {
			list[i].text = bareNumber.ReplaceAllStringFunc(list[i].text, withoutCount)
		}
	}
	if namesColumns(list) {
		r.say(IsExtra, "heading of the columns", "")
		return
	}
	if table && r.anyStops() && len(list) > 2 && strings.HasPrefix(plain(list[0].text), "compass") { // a sentence in the cells of a table
		var cells []string
		for _, c := range list {
			cells = append(cells, c.text)
		}
		r.piece(strings.Join(cells, " "), false)
		return
	}
	if table && r.divisionCells {
		list = r.inItsDivision(list)
	}
	if len(list) == 1 && r.keyboardLine(stripBullet(list[0].text)) {
		return
	}
	if r.headings(list) || r.twoHands(list) || table && len(r.hands) < 2 && r.remarkCells(list) {
		return
	}
	if !table {
		r.underRow(list)
	}
	if len(r.columns) > 1 && r.columnHeadings(list, table) {
		return
	}
	if len(list) > 1 && !table && r.section == inCouplers && len(r.columns) < 2 {
		r.piece(strings.Join(strings.Fields(line), " "), false)
		return
	}
	if len(list) > 1 && !table {
		if _, ok := heading(strings.Join(strings.Fields(line), " ")); ok {
			r.piece(strings.Join(strings.Fields(line), " "), false)
			return
		}
	}
	list = r.besideHands(list)
	filled := 0
	for _, c := range list {
		if c.text != "" {
			filled++
		}
	}
	inOrder := 0 // the cells before that have text
	for _, c := range list {
		if c.text == "" {
			continue
		}
		if filled == 1 && len(r.columns) > 1 && !table && r.section == inStops && (r.laidOut || c.offset > r.columns[0].offset+4 || r.columns[1].offset > 0 && r.isOneStop(stripBullet(c.text))) {
			r.enter(r.columnOfOne(c))
			r.piece(c.text, false)
			continue
		}
		if len(r.hands) > 1 {
			r.half = r.handOver(c, inOrder, filled)
			inOrder++
			r.piece(c.text, false)
			continue
		}
		if len(r.columns) > 1 && filled > 1 && sectionOf(c.text) == inCouplers { // "Koppel:" below the last stop of a column
			r.columns[r.nearest(c, table)].division = -1
			r.say(IsExtra, "heading: "+inCouplers, "")
			continue
		}
		if len(r.columns) > 1 && (table || filled > 1) {
			r.enter(r.columnOf(c, table))
			r.piece(c.text, false)
			continue
		}
		r.piece(c.text, len(r.columns) > 1)
	}
}

// keyboardsText is a line on the compass of all keyboards.
var keyboardsText = lazyregexp.New(`(?i)^(?:manuals|pedals|pedalboard|claviers|klaviere|klavieren|tastiere)[ :]`)

// temperamentFirst is a line on the temperament: "Temperamento mesotónico de 1/4 de coma".
var temperamentFirst = lazyregexp.New(`(?i)^(?:temp[eé]ram|temperat|afinaci|accordatura)\pL* `)

// piece reads one cell. mixed is true where the stops of several columns stand in it, parted by nothing.
func (r *reader) piece(text string, mixed bool) {
	if dittoWord.MatchString(text) {
		r.say(IsExtra, "the same word as above", "")
		return
	}
	if r.section == inStops {
		text = openLength(text)
	}
	bare := stripBullet(text)
	if bare != strings.TrimSpace(text) {
		bare = innerCount.ReplaceAllString(bare, ", $1")
	}
	if rest := aheadOfDivision.ReplaceAllString(bare, "$1"); rest != bare && r.section != inCouplers {
		if _, ok := heading(rest); ok {
			bare = rest
		}
	}
	if r.remarked(bare) {
		return
	}
	if r.chronicle(bare) || r.legend(text) {
		return
	}
	if label, rest, found := strings.Cut(bare, ":"); found && len(nameBrackets.ReplaceAllString(label, "")) < 60 {
		if r.labelled(strings.TrimSpace(label), strings.TrimSpace(rest)) {
			return
		}
	}
	if r.anyStops() && (keyboardsText.MatchString(bare) || temperamentFirst.MatchString(bare)) && !fewContras.MatchString(bare) {
		if said := r.list.facts(bare); len(said) > 0 {
			r.say(IsFact, strings.Join(said, ", "), "")
			return
		}
	}
	if r.ownOctave(bare) {
		r.couplers(bare)
		return
	}
	if r.headedHand(bare) {
		return
	}
	for _, t := range []string{text, bare} {
		if strings.HasPrefix(strings.TrimSpace(text), "+") { // "2 claviers" and below it "+ pédale"
			break
		}
		if d, ok := heading(t); ok && !(r.section == inCouplers && (d.Role == "" || isLetterPair(t))) {
			if r.onlyKeys(r.at) {
				r.list.Facts.PedalLow, r.list.Facts.PedalHigh = d.LowKey, d.HighKey
				r.say(IsFact, fmt.Sprintf("pedal of %d keys", d.HighKey-d.LowKey+1), "")
				return
			}
			r.current, r.section, r.columns = r.open(d), inStops, nil
			r.say(IsHeading, r.headingText(r.current), "")
			r.tirasseIn(text)
			return
		}
	}
	if r.headedByFact(bare) || r.headed(bare) {
		return
	}
	if s := sectionOf(bare); s != "" {
		r.section, r.columns = s, nil
		r.say(IsExtra, "heading: "+s, "")
		return
	}
	if mixed && !looksLikeCoupler(bare) && r.mixedStops(bare) {
		return
	}
	r.anyColumn = mixed
	r.items(bare)
	r.anyColumn = false
}
