package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// items reads what stands in a list parted by commas, or a single item.
func (r *reader) items(text string) {
	if r.current < 0 && r.anyHeading && len(strings.Fields(text)) >= longText && len(heads(text)) == 0 {
		r.history(text)
		return
	}
	if r.enumeration(text) {
		return
	}
	if r.halves && r.section == inStops {
		text = spellHalves(text)
	}
	text = r.withSecond(besidesIt.ReplaceAllString(text, "$1"))
	text = withoutMaterial(countOfContras.ReplaceAllString(text, "$1"))
	if r.list.Language == "it" || r.list.Language == "es" {
		text = spellDegrees(text)
	}
	if r.section == inStops {
		text = r.spellPipes(r.withoutRemark(facadeCount.ReplaceAllString(text, "")))
		if t := pipesAtEnd.ReplaceAllString(text, ""); strings.TrimSpace(t) != "" {
			text = t
		}
	}
	low := plain(text)
	words := len(strings.Fields(low))
	if r.section == inStops && r.withoutPipes(text, low) || r.inParts(text, words) {
		return
	}
	if r.section == inCouplers {
		if tremulantLabel.MatchString(low) && r.tremulant(text, low) {
			return
		}
		if !looksLikeCoupler(text) && words > 1 {
			if (words > longText || isSentence(text, words)) && !speaksOfCouplers(text) {
				r.other(text, low, words)
				return
			}
			if r.mixedRemarks(text) {
				return
			}
			if said := r.list.facts(text); len(said) > 0 && !pairsWithin(text) {
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
	if r.section == inExtras && r.current < 0 && r.anyHeading { // a table of the ranks ahead of the list
		r.other(text, low, words)
		return
	}
	found, left := r.stopsIn(text, r.inPedal())
	if r.isProse(text, low, words, found, left) || len(found) == 0 || r.current < 0 && !r.startsUnheaded(found, text) {
		r.other(text, low, words)
		return
	}
	r.openUnheaded()
	r.pedalBlock(&found[0])
	r.afterBreak = false
	for _, s := range found {
		r.add(r.current, s)
	}
	for _, t := range left {
		r.leftOver(t, r.current)
	}
}

// longText is the number of words from which a text before the first heading tells of the organ's history.
const longText = 12

// heads are the divisions that a text names where a list of stops begins: "Great: Open Diapason 8, …".
func heads(text string) (out []Division) {
	for _, c := range clauses(text) {
		if label, _, found := strings.Cut(c, ":"); found {
			if d, ok := headingWithin(label); ok && len(strings.Fields(label)) <= 6 {
				out = append(out, d)
			}
		}
	}
	return out
}

// history reads what a text before the first heading says of the whole organ; the stops that it names are former ones.
func (r *reader) history(text string) {
	said := r.list.facts(text)
	r.year(text)
	if len(said) > 0 {
		r.say(IsFact, strings.Join(said, ", "), "")
		return
	}
	r.say(IsProse, "no part of the stop list", "")
}

// openUnheaded opens a manual for stops that no heading stands over.
func (r *reader) openUnheaded() {
	if r.current >= 0 {
		return
	}
	half, hands := r.half, r.hands
	r.current = r.open(Division{Name: "Manual"})
	r.half, r.hands = half, hands
	r.list.Assumed = append(r.list.Assumed, "no heading stands over the first stops: they are taken as one manual")
}

// withoutRemark cuts off what a line says of its stop behind a dash, where its lines do so, or in a sentence of small letters behind a
// comma.
func (r *reader) withoutRemark(text string) string {
	if len(splitList(text)) == 0 {
		return text
	}
	if m := lowestOctave.FindStringIndex(text); m != nil && r.isOneStop(text[:m[0]]) {
		return text[:m[0]]
	}
	if m := lowestFrom.FindStringIndex(text); m != nil {
		if head := strings.TrimSpace(pipesSaid.ReplaceAllString(text[:m[0]], "")); r.isOneStop(head) {
			return head
		}
	}
	if head, rest, found := cutDash(text); found && r.remarks && isRemark(head, rest) {
		return head
	}
	if head, rest, found := strings.Cut(text, " : "); found && r.isOneStop(head) && ofThePipes(rest) {
		return head
	}
	head := splitList(text)[0]
	rest := strings.TrimLeft(strings.TrimPrefix(text, head), ", ")
	if !startsSmall(rest) || len(spans(rest)) > 0 || len(strings.Fields(rest)) < 4 || fromKey.MatchString(rest) || noteOnly(strings.Fields(rest)[0]) {
		return text
	}
	if s, left := r.stopsIn(head, r.inPedal()); len(s) == 1 && len(left) == 0 && s[0].printedFeet {
		return head
	}
	return text
}

// lowestOctave begins a remark on how the lowest pipes are made: "C-H Holz / ab c Prospekt". The stop goes through.
var lowestOctave = lazyregexp.New(`[ ,;]+\(?(?:(?i:transmission|transm\.|tr\.|kombiniert|komb\.|auszug|vorabzug) )?C ?-(?: ?Cis)? ?[D-H](?:is|s|#)? \pL`)

// lowestFrom says that the lowest pipes are another stop's: "49 pipes, 1-12 from Bourdon". The stop goes through.
var lowestFrom = lazyregexp.New(`(?i)[ ,;]+\(?(?:notes )?1 ?- ?(?:7|12|17|18|19|24) (?:from|in|aus|mit|with|common|gemeinsam|aus dem) \pL`)

// inPedal says whether the division under way is the pedal.
func (r *reader) inPedal() bool { return r.current >= 0 && r.list.Divisions[r.current].Pedal }

// inParts reads two rows that stand on one line, or the sentences of a text, one by one; false where it is neither.
func (r *reader) inParts(text string, words int) bool {
	if head, rest, found := cutDash(text); found && r.section == inStops && r.isOneStop(head) && r.isOneStop(rest) {
		r.items(head)
		r.items(rest)
		return true
	}
	if parts := partsBySign(text); len(parts) > 2 && r.section == inStops && mostlyStops(parts) {
		for _, p := range parts {
			r.piece(strings.Trim(p, ". "), false)
		}
		return true
	}
	if r.sideBySide(text) {
		return true
	}
	if parts := r.apart(text); len(parts) > 1 && !(r.section == inCouplers && speaksOfCouplers(text)) {
		if r.current < 0 && !r.anyHeading && r.isStop(parts[0]) {
			r.openUnheaded()
		}
		for _, p := range parts {
			r.piece(p, false)
		}
		return true
	}
	if r.section == inStops {
		if rows := r.twoInARow(text, r.inPedal()); len(rows) > 0 {
			if r.current < 0 && !r.anyHeading {
				r.openUnheaded()
			}
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
		t = strings.Trim(t, " .")
		if d, ok := heading(t); ok && r.section == inStops && (d.Role != "" || d.Number > 0) { // "Zweites Manual. Weite Mensur."
			r.piece(t, false)
			continue
		}
		r.items(t)
	}
	return true
}

// isOneStop tells whether text is one stop with its size.
func (r *reader) isOneStop(text string) bool {
	s, left := r.stopsIn(text, r.inPedal())
	return len(s) == 1 && len(left) == 0 && s[0].how <= bySpelling && len(s[0].grouped) > 0
}

// mostlyStops tells whether most of the parts of a line begin with known names.
func mostlyStops(parts []string) bool {
	n := 0
	for _, p := range parts {
		words := wordsOf(stripBullet(p))
		for k := min(4, len(words)); k > 0; k-- {
			if known(phraseOf(words[:k])) {
				n++
				break
			}
		}
	}
	return n*3 >= len(parts)*2
}

// sideBySide reads the first line of stops under headings that stood one after the other without stops of their own: as many stops as headings
// are a row of their columns, whose places are not known.
func (r *reader) sideBySide(text string) bool {
	if len(r.columns) > 0 || len(r.row) < 2 || r.section != inStops {
		return false
	}
	if !r.firstsOnOneLine() {
		return false
	}
	stops := 0
	for _, p := range r.apart(text) {
		if s, left := r.stopsIn(p, false); len(s) == 1 && len(left) == 0 {
			stops++
		}
	}
	if stops != len(r.row) {
		return false
	}
	for i, d := range r.row {
		r.columns = append(r.columns, column{division: d, cell: i})
	}
	r.unplaced = true
	return r.mixedStops(text)
}

// firstsOnOneLine tells whether divisions headed one after the other have no stops yet, or at most one each, which stand on one line with them:
// "Hauptwerk: Quintade 16' Oberwerk: Gedackt 8'".
func (r *reader) firstsOnOneLine() bool {
	line, firsts, few := 0, 0, true
	for _, d := range r.row {
		for i, s := range r.list.Divisions[d].Stops {
			few = few && i == 0 && (line == 0 || s.Line == line)
			line = s.Line
			firsts++
		}
	}
	return few && firsts != 1
}

// underRow takes the headings that stood one after the other without stops for those of the columns that begin here: as many stops stand
// side by side.
func (r *reader) underRow(list []cell) {
	if n := len(r.columns); n > 1 && n == len(list) && r.columns[n-1].offset == 0 { // their headings stood in one cell
		for _, c := range list {
			if !r.isOneStop(stripBullet(c.text)) {
				return
			}
		}
		for i, c := range list {
			r.columns[i].cell, r.columns[i].offset = c.index, c.offset
		}
		return
	}
	if len(r.columns) > 0 || len(r.row) < 2 || len(list) != len(r.row) || r.section != inStops {
		return
	}
	for i, d := range r.row {
		if len(r.list.Divisions[d].Stops) > 0 || !r.isOneStop(stripBullet(list[i].text)) {
			return
		}
	}
	for i, d := range r.row {
		r.columns = append(r.columns, column{division: d, cell: list[i].index, offset: list[i].offset})
	}
}

// noStop reads what stands among stops and is none: the heading of a half or of the lengths, an accessory, a compass.
func (r *reader) noStop(text, low string) bool {
	if tremulantText.MatchString(text) && afterTremulant.MatchString(text) {
		return r.tremulant(text, low)
	}
	if half := handOf(text); half != "" {
		r.underHand(half, text)
		return true
	}
	switch strings.Trim(low, " .:") {
	case "ft", "feet", "fuss", "fuß", "pieds", "voet":
		r.say(IsExtra, "heading of the lengths", "")
		return true
	}
	if subheading.MatchString(strings.Trim(low, " .:-()*")) {
		r.say(IsExtra, "heading of some of the stops", "")
		return true
	}
	if word := strings.Trim(low, " .:()"); boxWords[word] && r.current >= 0 && len(r.list.Divisions[r.current].Stops) == 0 {
		r.list.Divisions[r.current].Enclosed = true
		r.say(IsFact, r.list.Divisions[r.current].Name+": in a swell box", "")
		return true
	}
	if pitchLine.MatchString(low) {
		r.say(IsFact, strings.Join(r.list.facts(text), ", "), "")
		return true
	}
	if countOfPipes.MatchString(low) || countsUp(low) {
		r.say(IsProse, "no part of the stop list", "")
		return true
	}
	if onItself.MatchString(low) && r.current >= 0 && (low[0] == 's' && !strings.HasPrefix(low, "super") || strings.Contains(r.whole, "unison off") || r.allPrinted()) {
		r.couplers(r.list.Divisions[r.current].Name + " " + low)
		return true
	}
	if octaveOnly.MatchString(low) && len(spansOfFeet(text)) == 0 {
		if words := strings.Fields(low); refOf(words[0]).role != "" {
			r.couplers(text)
			return true
		}
	}
	if bellsSaid.MatchString(low) {
		r.say(IsExtra, "an accessory without pipes", "")
		return true
	}
	if r.underHorns(text) || r.withoutPipes(text, low) {
		return true
	}
	return r.compassLine(text)
}

// withoutPipes reads an accessory by its first words, whatever else it names, and a heading that tells where the knobs stand.
func (r *reader) withoutPipes(text, low string) bool {
	switch {
	case len(splitList(text)) > 1 || len(spansOfFeet(text)) > 0:
		return false
	case rowOfKnobs.MatchString(low):
		r.say(IsExtra, "heading: stops", "")
	case knobWithoutPipes.MatchString(low):
		r.say(IsExtra, "an accessory without pipes", "")
	default:
		return false
	}
	return true
}

// rowOfKnobs heads the knobs on one side of the keyboard: "Colonna di sinistra (Concerto)", "Prima fila".
var rowOfKnobs = lazyregexp.New(`^(?:(?:registri|tiranti|manette|pomelli|columna|coluna|colonna|fila|filera|serie|lato)(?: (?:di|della|del|de|da|a|alla|dei)(?: la)?)? (?:colonna |fila |lato )?(?:sinistr[ao]|destr[ao]|intern[ao]|estern[ao]|izquierda|derecha|esquerda|direita)|(?:prima|seconda|terza|1ª|2ª|3ª|primera|segunda|i|ii) (?:colonna|fila|columna|serie)|registri (?:di|da|del) (?:concerto|ripieno|pieno))(?: ?\(.*\))?(?: ?[:.])?$`)

// knobWithoutPipes draws other knobs or none, whatever it names: "Tiratutti del Ripieno".
var knobWithoutPipes = lazyregexp.New(`^(?:rodillera|terza ?mano|pedalett|tira ?tutti|tira[ -]?(?:il )?ripieno|tira ?pieno|combinazion|distacco|annulla|esclusione|manovella|uccell|rollant|campanin|zampogna(?: a pedale)?$|llamada|anulador|pisantes|pisante |aviso|registro de aviso)`)

// allPrinted tells whether the division under way prints the length of each stop, so that what has none is no stop.
func (r *reader) allPrinted() bool {
	stops := r.list.Divisions[r.current].Stops
	for i := range stops {
		if slices.ContainsFunc(stops[i].Assumed, func(s string) bool { return strings.HasPrefix(s, "length not printed") }) {
			return false
		}
	}
	return r.list.Language == "en" && len(stops) >= 3
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
	case r.section == inStops && exact == 0 && words > 6 && n*4 < len(strings.Fields(nameBrackets.ReplaceAllString(low, " "))),
		namesInPassing(text, found),
		isExtra(low) && !anyExact(found),
		n <= 2 && words > 4+3*n && len(left) > 0 && found[0].how != exactly,
		r.section == inExtras && (exact == 0 || r.standing(found)),
		looksLikeCoupler(text):
		return true
	}
	return r.section == inExtras && r.current >= 0 && exact < len(left)+1
}

// standing tells whether all that is found stands in the list already: an accessory that names the stops on which it works.
func (r *reader) standing(found []foundStop) bool {
	for _, f := range found {
		if !slices.ContainsFunc(r.list.Divisions, func(d Division) bool {
			return slices.ContainsFunc(d.Stops, func(s Stop) bool { return s.Name == f.Name && s.Feet == f.Feet })
		}) {
			return false
		}
	}
	return true
}

// namesInPassing tells a sentence with the names of stops in it from a list of them: it does not begin with a known name, and most of its words
// are no part of one. "La Montre 16' du Grand-orgue et la Montre 8' du Positif ont une basse commune".
func namesInPassing(text string, found []foundStop) bool {
	if found[0].how < byWords && !article.MatchString(text) {
		return false
	}
	words := len(strings.Fields(nameBrackets.ReplaceAllString(text, " ")))
	known := 0
	for _, s := range found {
		known += len(strings.Fields(s.as)) + len(s.grouped)
	}
	return words-known >= 5 && 2*known <= words
}

// isStop tells whether text is one stop by its whole name: "Liebl. Gedackt" is no sentence.
func (r *reader) isStop(text string) bool {
	s, ok := r.nameOnly(text, r.current >= 0 && r.list.Divisions[r.current].Pedal, nil)
	return ok && s.how == exactly
}

func anyExact(found []foundStop) bool {
	for _, s := range found {
		if s.how <= byBeginning {
			return true
		}
	}
	return false
}

// firstKey is the lower end of a compass, or the key that stands alone.
func firstKey(text string) string {
	low, _, _ := strings.Cut(strings.Trim(text, "() .:"), "-")
	return low
}

// compassLine reads a line that is nothing but the compass of the division.
func (r *reader) compassLine(text string) bool {
	if r.current < 0 {
		return false
	}
	d := &r.list.Divisions[r.current]
	low, high, rest, _, ok := findCompass(strings.Trim(text, "() "), d.Pedal)
	if m := shortCompass.FindStringSubmatch(text); m != nil && !ok && !d.Pedal && keyNamed(firstKey(strings.Replace(text, m[0], "", 1))) >= 48 { // "25 notes (ut3)"
		low = keyNamed(firstKey(strings.Replace(text, m[0], "", 1)))
		high, rest, ok = low+atoi(m[1])-1, "", true
	} else if m != nil && !ok && !d.Pedal && strings.Trim(strings.Replace(text, m[0], "", 1), "() .:") == "" { // a Récit of the treble
		high = 86 // the top of the organs that have one (common practice), or of the other keyboards where the list says it
		for i := range r.list.Divisions {
			if o := &r.list.Divisions[i]; !o.Pedal {
				high = max(high, o.HighKey)
			}
		}
		low, rest, ok = high+1-atoi(m[1]), "", true
	}
	rest = bareCompass.ReplaceAllString(" "+keyCount.ReplaceAllString(rest, " ")+" ", " ")
	if !ok || strings.Trim(parens.ReplaceAllString(rest, " "), " .,:;-") != "" {
		return false
	}
	d.LowKey, d.HighKey = low, high
	r.say(IsFact, d.Name+": "+voicing.KeyText(low)+"-"+voicing.KeyText(high), "")
	return true
}

var (
	pipesAtEnd   = lazyregexp.New(`(?i)[ ,;:–-]*\(?\b\d{2,4} (?:pipes|pfeifen|tuyaux|canne|pijpen|tubos)\)?\.?$|[ ,;:–-]*\b(?:3[01]|[45]\d|6[0-35-9]|[7-9]\d|\d{3})'$`)
	countOfPipes = lazyregexp.New(`^\d[\d.,]*(?: (?:pipes|ranks|stops|pfeifen|register|stimmen|tuyaux|jeux|canne|registri|pijpen|stemmen|tubos|registros))?$`)
	pitchLine    = lazyregexp.New(`^(?:diapason|accord|corista)[^\d,;]{0,20}(?:3[5-9]\d|4\d\d)[^\d]{0,8}$`)
	octaveOnly   = lazyregexp.New(`^[\pL.]+ (?:organ )?(?:sub[ -]?octave|super[ -]?octave|octave|unison off)(?: coupler)?$`)
	onItself     = lazyregexp.New(`^(?:octave|sub[ -]?octave|super[ -]?octave)(?: coupler)?$`)
)

// bellsSaid says that a stop is one of bells or bars: "Carillon (Bells)", "Harp 61 bars".
var bellsSaid = lazyregexp.New(`^\pL[\pL ]*[ ,(]+(?:\d\d )?(?:tubular |metal |steel |wooden |brass )?(?:bells|gongs|bars|tubes|plates|chimes)\)?$|^\d\d (?:tubular )?(?:bells|gongs|bars|tubes|plates|chimes)$`)

func (r *reader) startsUnheaded(found []foundStop, text string) bool {
	for _, s := range found {
		if r.bareNames >= 4 && !r.anyHeading && s.how == exactly && len(found) == 1 {
			return true
		}
		if (s.printedFeet || len(s.grouped) > 0 && s.how == exactly) && len(strings.Fields(nameBrackets.ReplaceAllString(text, " "))) < 5*len(found)+3 {
			return true
		}
	}
	return false
}

func (r *reader) anyStops() bool {
	for i := range r.list.Divisions {
		if len(r.list.Divisions[i].Stops) > 0 {
			return true
		}
	}
	return false
}

// sizeOfOrgan is "II/P/13": manuals, pedal and stops.
var sizeOfOrgan = lazyregexp.New(`^\d ?\+ ?P(?:ed(?:al)?)?\.?$|^(?:[IVX]{1,4}|\d)[/+ ]+P(?:ed)?\.?[/, ]*\d{1,3}$`)

// ofTheMaking says how pipes are made.
var ofTheMaking = lazyregexp.New(`mensur|zinn\b|\bholz\b|\bmetall\b|prospekt|enger$|weiter$|halbton|labiert|gekropft|uberblasend|konisch|zylindrisch|durchschlagend|aufschlagend`)

// accessory reads a piece that sounds no pipes: how many pistons it counts, or nothing.
func (r *reader) accessory(text string) {
	if said := r.list.facts(text); len(said) > 0 {
		r.say(IsFact, strings.Join(said, ", "), "")
		return
	}
	r.say(IsExtra, "an accessory without pipes", "")
}

func (r *reader) leftOver(text string, division int) {
	text = strings.Trim(text, " .,;-")
	low := plain(text)
	switch {
	case text == "" || sizeOfOrgan.MatchString(text) || ranksUnit.MatchString(text) || len(nameParts.FindAllString(text, -1)) == 0 && (len(text) < 5 || !strings.ContainsAny(strings.ToLower(text), "abcdefghijklmnopqrstuvwxyz")) && !isPair(text):
	case r.tremulant(text, low):
	case r.current < 0 && len(spans(text)) == 0 && !looksLikeCoupler(text):
		r.other(text, low, len(strings.Fields(low)))
	case sectionOf(text) != "":
		r.say(IsExtra, "heading: "+sectionOf(text), "")
	case countTo.MatchString(low): // "3 to Choir", of pistons
		r.accessory(text)
	case looksLikeCoupler(text), r.ownOctave(text):
		r.couplers(text)
	case isExtra(low):
		r.accessory(text)
	case built.MatchString(text) && yearText.MatchString(text) && len(strings.Fields(text)) <= 6: // "Gebaut 1962"
		r.year(text)
		r.say(IsProse, "no part of the stop list", "")
	default:
		if said := r.list.facts(text); len(said) > 0 {
			r.say(IsFact, strings.Join(said, ", "), "")
			return
		}
		if len(strings.Fields(text)) > 6 || aboutOrgan(low) && len(spansOfFeet(text)) == 0 || ofTheMaking.MatchString(low) && len(spansOfFeet(text)) == 0 {
			r.say(IsProse, "no part of the stop list", "")
			return
		}
		r.say(IsUnread, text, "")
	}
}

// lengthInBrackets is all that stands behind a name.
var lengthInBrackets = lazyregexp.New(`^(.*[\pL.]) ?\((\d{1,2}(?: \d/\d)?')\)$`)

// openLength writes "Bombarde (16')" without its brackets, which might hold a remark behind a heading.
func openLength(text string) string {
	if m := lengthInBrackets.FindStringSubmatch(strings.TrimSpace(text)); m != nil && known(stripBullet(m[1])) {
		return m[1] + " " + m[2]
	}
	return text
}
