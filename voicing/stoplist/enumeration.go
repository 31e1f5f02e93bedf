package stoplist

import (
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// Guides write a stop list as prose: "The Great has an Open Diapason 8, a Dulciana 8 and a Principal 4"; "Les quatre jeux sont les suivants :
// bourdon 8, flûte 4"; "El segundo teclado tiene los registros : flautado de 13; violón; octava". An enumeration is a clause that says
// of what, a verb or a colon, and names that are mostly known.

var (
	enumerates  = lazyregexp.New(`(?i)(?: ?:| (?:has|have|contains?|comprises?|consists? of|includes?|offers?|hat|haben|enthält|umfasst|umfaßt|besitzt|verfügt über|besteht aus|comporte|réunit|regroupe|renferme|dispose de|se compose de|comprend|comprennent|possède|compte|a pour jeux|comprende|contiene|possiede|ha|tiene|posee|consta de|comprende|bevat|heeft|omvat|telt)) `)
	clauseBreak = lazyregexp.New(`[.;]\s+|'\s+(?:The|There|It|Das|Die|Der|Es|Le|La|Les|Il|El|Het|De|Een)\s`)
	article     = lazyregexp.New(`(?i)^(?:the|an?|one|das|die|der|ein(?:e|en)?|dem|den|le|la|les|l|une?|des|il|lo|gli|i|un[oa]?|el|los|las|una|het|de|een|as well as|sowie|ainsi que)(?: +|')(?:following |siguientes? |suivants? |folgenden? )?`)
	closingWord = lazyregexp.New(`(?i)[ ,;]+(?:y|and|und|et|e|en)$`)
)

// clauses parts a paragraph at full stops and semicolons before a clause that enumerates for a division of its own, or goes on with one.
func clauses(text string) []string {
	var out []string
	at := 0
	for _, m := range clauseBreak.FindAllStringIndex(text, -1) {
		word := text[strings.LastIndexAny(text[:m[0]], " .,/")+1 : m[0]]
		if text[m[0]] == '.' && len([]rune(word)) <= 3 && !digitsOnly(word) {
			continue
		}
		if text[m[0]] == ';' {
			v := enumerates.FindStringIndex(text[m[1]:min(len(text), m[1]+300)])
			if v == nil || v[0] > 60 || strings.ContainsAny(text[m[1]:m[1]+v[0]], ";.") {
				continue
			}
		}
		if text[m[0]] == '\'' { // the full stop went with "16 ft."
			word := m[0] + 1
			out, at = append(out, text[at:word]), word
			continue
		}
		out = append(out, text[at:m[0]])
		at = m[1]
	}
	return append(out, text[at:])
}

func digitsOnly(s string) bool { return s != "" && strings.Trim(s, "0123456789'") == "" }

// enumeration reads a paragraph that enumerates stops; false where it is anything else.
func (r *reader) enumeration(text string) bool {
	if len(strings.Fields(text)) < 7 || r.section == inCouplers {
		return false
	}
	type part struct {
		head  string
		items []string
	}
	var parts []part
	enumerated := false
	for _, c := range clauses(text) {
		head, list := "", ""
		for _, m := range enumerates.FindAllStringIndex(c, 2) {
			if n := len(r.namesOf(c[m[1]:])); list == "" || n > 0 {
				head, list = c[:m[0]], c[m[1]:]
			}
		}
		items := r.namesOf(list)
		if _, ok := headingWithin(head); len(items) == 1 && !(ok && len(parts) > 0) {
			items = nil
		}
		enumerated = enumerated || len(items) > 1
		if items == nil {
			head = c
		}
		parts = append(parts, part{head, items})
	}
	if !enumerated {
		return false
	}
	for _, p := range parts {
		if p.items == nil {
			r.clauseFacts(p.head)
			continue
		}
		if d, ok := headingWithin(p.head); ok {
			if m := fromKey.FindStringSubmatch(p.head); m != nil && !bareCompass.MatchString(p.head) { // "the Swell, which goes down to tenor C only"
				d.LowKey = keyNamed(m[1])
			}
			r.current, r.section, r.columns = r.open(d), inStops, nil
			r.say(IsHeading, r.headingText(r.current), "")
		}
		if half := handAtEnd(p.head); half != "" {
			r.half = half
		}
		for _, item := range p.items {
			r.enumerated(item)
		}
	}
	return true
}

// clauseFacts reads what a clause says of keyboards, pitch, couplers and tremulants.
func (r *reader) clauseFacts(text string) {
	if said := r.list.facts(text); len(said) > 0 {
		r.say(IsFact, strings.Join(said, ", "), "")
	}
	r.year(text)
	if pulledDown.MatchString(text) {
		r.pulled()
	}
	r.couplersInProse(text)
}

var (
	denied       = lazyregexp.New(`(?i)\b(?:pas de|sans|no|without|kein\pL*|ohne|senza|geen|zonder|sin)\b`)
	spokenCouple = lazyregexp.New(`(?i)(?:accouplement|couplage|coupling|acoplamiento|accoppiamento|koppeling|koppelung|coupler)s? (?:du |de la |de l'|del |della |des |from the |from |of the |of |van het |van |vom |von )?(\pL[\pL\-. ]{2,25}?) (?:au|à la|sur le|al|alla|to the|to|an das|zum|aan het|aan|op het) (\pL[\pL\-.]{2,20})`)
	usualCoupled = lazyregexp.New(`(?i)usual (?:unison |manual )?couplers|üblichen koppeln|normalkoppeln|gebruikelijke koppelingen|accouplements habituels`)
	trembles     = lazyregexp.New(`(?i)\btr(?:em[uo]l|embl)\pL*`)
)

// couplersInProse reads the couplers and tremulants that a sentence speaks of: "L'accouplement du positif au grand-orgue se fait par un tiroir".
func (r *reader) couplersInProse(text string) {
	for _, clause := range strings.FieldsFunc(text, func(c rune) bool { return strings.ContainsRune(".;", c) }) {
		if m := spokenCouple.FindStringSubmatch(clause); m != nil && refOf(m[1]).known() && refOf(m[2]).known() {
			r.wait(IsCoupler, m[1]+" / "+m[2], -1)
		} else if usualCoupled.MatchString(clause) {
			r.wait(IsCoupler, "usual couplers", -1)
		}
		if trembles.MatchString(clause) && !denied.MatchString(clause) {
			r.wait(IsTremulant, "", -1)
		}
	}
}

// wait says that a coupler or a tremulant was read, which waits until all divisions are known.
func (r *reader) wait(what, text string, division int) {
	r.say(what, "", "")
	at := len(r.list.Lines) - 1
	r.waiting = append(r.waiting, waiting{at, len(r.list.Lines[at].Readings) - 1, text, division})
}

// enumerated reads one item of an enumeration.
func (r *reader) enumerated(item string) {
	if label, found := strings.CutSuffix(item, ":"); found && handOf(label) != "" {
		r.half = handOf(label)
		return
	}
	found, left := r.stopsIn(item, r.inPedal())
	if len(found) > 0 {
		r.openUnheaded()
	}
	for _, s := range found {
		r.add(r.current, s)
	}
	if len(found) == 0 {
		left = []string{item}
	}
	for _, t := range left {
		r.leftOver(t, r.current)
	}
}

// apartByAnd parts the last two of an enumeration where one of them at least is a known name and both together are none.
func apartByAnd(piece string) []string {
	m := andAt(piece)
	if m == nil || known(article.ReplaceAllString(piece, "")) {
		return []string{piece}
	}
	a, b := piece[:m[0]], piece[m[1]:]
	if knownWithSize(a) && knownWithSize(b) {
		return []string{a, b}
	}
	if known(article.ReplaceAllString(a, "")) || known(article.ReplaceAllString(b, "")) {
		return []string{a, b}
	}
	return twoByAnd(piece)
}

// knownWithSize tells whether a text is a known name and its length: "une soubasse de 16'".
func knownWithSize(text string) bool {
	name := withoutSizes(article.ReplaceAllString(strings.TrimSpace(text), ""))
	return len(spans(text)) > 0 && known(measureOf.ReplaceAllString(strings.TrimSpace(name), ""))
}

// namesOf are the stops of an enumeration, without articles; nil where less than two thirds of them are known names.
func (r *reader) namesOf(list string) []string {
	list = strings.Trim(list, " .")
	if list == "" {
		return nil
	}
	var items []string
	for _, piece := range splitList(list) {
		if i := strings.LastIndex(piece, " de "); len(items) == 0 && i > 0 && known(piece[i+4:]) && !known(piece) { // "los registros de combinación de trompeta"
			piece = piece[i+4:]
		}
		if _, behind, found := strings.Cut(piece, ": "); found { // "y como de combinación : bombardas"
			if label := strings.TrimSpace(strings.TrimSuffix(piece, ": "+behind)); handOf(label) != "" { // "mano izquierda: Flautado, …"
				items = append(items, label+":")
			}
			piece = behind
		}
		piece = countOfContras.ReplaceAllString(strings.TrimSpace(piece), "$1")
		if n := len(items) - 1; n >= 0 && (len(spans(items[n])) == 0 && onlySizeAndNotes(piece) || ranksBehind(items[n], piece)) { // "Stopped Diapason, bass and treble, 8 feet"
			items[n] += " " + piece
			continue
		}
		for _, p := range apartByAnd(leadingAnd.ReplaceAllString(strings.TrimSpace(piece), "")) {
			p = strings.TrimSpace(article.ReplaceAllString(closingWord.ReplaceAllString(p, ""), ""))
			if onlyLength(p) && len(items) > 0 && len(spans(items[len(items)-1])) == 0 { // "violón, 13"
				items[len(items)-1] += " " + p
				continue
			}
			if p != "" {
				items = append(items, p)
			}
		}
	}
	found := 0
	for _, p := range items {
		if s, left := r.stopsIn(p, false); len(s) == 1 && len(left) == 0 && s[0].how <= bySpelling {
			found++
		}
	}
	if found*3 < len(items)*2 || found == 0 {
		return nil
	}
	return items
}

// headingWithin finds the division that a clause speaks of: "El segundo teclado tiene como registros de fondos".
func headingWithin(clause string) (Division, bool) {
	words := strings.Fields(strings.Trim(article.ReplaceAllString(strings.TrimSpace(clause), ""), " .,:"))
	for n := min(4, len(words)); n > 0; n-- {
		for i := 0; i+n <= len(words); i++ {
			phrase := strings.Trim(strings.Join(words[i:i+n], " "), ",")
			d, ok := heading(phrase)
			if !ok || d.Role == "" && d.Number == 0 || len([]rune(phrase)) < 4 {
				continue
			}
			rest := plain(strings.Join(words[i+n:], " "))
			d.Enclosed = d.Enclosed || containsAny(rest, "expres", "express", "enclosed", "schwell", "swell box")
			return d, true
		}
	}
	return Division{}, false
}
