package stoplist

import (
	"slices"
	"strings"
	"sync"
	"unicode"

	"afterchord/acoustics/lazyregexp"
	"afterchord/voicing"
)

// words are what the word at i is if it belongs to nothing larger.
func (p *page) words(i int) []piece {
	t := &p.tokens[i]
	switch {
	case t.sign:
		return []piece{{words: 1, cost: 0.1}}
	case smallRoman.MatchString(t.core): // counts a coupler
		return []piece{{words: 1, cost: 0.3}}
	case strings.ContainsAny(t.core, "'0123456789"):
		return []piece{{words: 1, cost: 0.6, as: IsProse}}
	case closingAnd.MatchString(t.core):
		return []piece{{words: 1, cost: 0.3}}
	case startsSmall(t.core):
		return []piece{{words: 1, cost: 0.3, as: IsProse}}
	case p.knownName(t.core).ok:
		return []piece{{words: 1, cost: 0.8, as: IsProse}}
	}
	return []piece{{words: 1, cost: 0.45, as: IsProse}}
}

// accessoryWord is an accessory among the stops, or what it works on: "Appel anches Récit".
var accessoryWord = lazyregexp.New(`^(?:appel|anches|ventil|motor|kalkant|[zc]ymbelstern|zimbelstern|nachtigall|rossignol|chimes|glockenspiel|tutti)$`)

// twoTremulants are told apart by how they shake.
var twoTremulants = lazyregexp.New(`(?i)^(?:tremblant|tr[ée]molo|temblor) (?:doux|fort|dolce|forte|suave|fuerte)$`)

// shiftWord goes on with a coupler: "Swell to Great Sub Octave".
var shiftWord = lazyregexp.New(`^(?:sub|super|octave|suboctave|superoctave|sub-octave|super-octave|coupler|16'?|8'?|4'?)$`)

// closingAnd stands before the last of several stops.
var closingAnd = lazyregexp.New(`^(?:y|e|et|and|und|en)$`)

// smallRoman is a Roman numeral in small letters.
var smallRoman = lazyregexp.New(`^(?:i{1,3}|iv|vi{0,3}|ix|xi{0,3}|xiv|xvi{0,3})$`)

// headsAt are the headings, couplers and tremulants that begin at i.
func (p *page) headsAt(i int) []piece {
	var out []piece
	t := &p.tokens[i]
	if t.sign || t.low == "" || !beginsWithLetter(strings.TrimLeft(t.text, "([")) && !beginsWithDigit(t.text) {
		return nil
	}
	hint, mayHead, coupler := false, p.mayHead(i), 0
	afterJoin := i > 0 && joins(strings.ToLower(p.tokens[i-1].core))
	for n := 1; n <= 9 && i+n <= len(p.tokens); n++ {
		last := &p.tokens[i+n-1]
		phrase := p.phrase(i, i+n)
		hint = hint || last.hint
		if n <= 5 {
			degrees := strings.ContainsAny(phrase, "-–/+") && severalDegrees(phrase) != nil || n == 3 && p.tokens[i+1].low == "e" && severalDegrees(phrase) != nil || n == 1 && degreeAlone.MatchString(phrase)
			switch {
			case degrees:
				out = append(out, piece{words: n, cost: costStop, as: IsStop, text: phrase, sized: true})
			case n <= 2 && t.low[0] == 't' && (tremulantAlone(phrase) || twoTremulants.MatchString(phrase) || n == 2 && t.text == t.core && tremulantAlone(t.core) && refOf(last.core).role != "" && !strings.HasSuffix(last.text, ":")):
				out = append(out, piece{words: n, cost: costStop, as: IsTremulant})
			case n <= 3 && !startsSmall(t.core) && accessoryWord.MatchString(t.low) && (n == 1 || n == 2 && accessoryWord.MatchString(last.low) || refOf(strings.TrimRight(last.text, ",;:")).role != ""):
				out = append(out, piece{words: n, cost: costHead + 0.1*float64(n), as: IsExtra})
			case !hint && !strings.HasPrefix(t.low, "m"):
			case coupler > 0 && !shiftWord.MatchString(last.low), n > 1 && p.opensCoupler(i+n-1): // "Great to Pedal" goes no further
				coupler = 9
			case coupler < 9 && (n >= 3 && spokenCoupler(phrase) || strings.ContainsAny(phrase, "/-+") && strings.ContainsFunc(phrase, unicode.IsLetter) && isPair(phrase) && !p.knownName(phrase).ok ||
				n > 1 && t.hint && !joins(t.low) && !joins(last.low) && (p.section(i, t.core) == "" || bySlide.MatchString(phrase)) && looksLikeCoupler(phrase) && !p.knownName(phrase).ok && !last.sign):
				cost := costHead + 0.1
				for k := i; k < i+n; k++ {
					if w := &p.tokens[k]; !w.hint && !shiftWord.MatchString(w.low) && w.low != "tiroir" && !refOf(w.core).known() {
						cost += 1.1
					}
				}
				out = append(out, piece{words: n, cost: cost, as: IsCoupler})
				if n >= 3 || isPair(t.core) {
					coupler = n
				}
			case n <= 2 && (n == 2 || strings.HasPrefix(t.text, "(") || strings.HasSuffix(t.text, ":")) && handOf(strings.Trim(phrase, "()")) != "":
				out = append(out, piece{words: n, cost: costHead, as: IsExtra})
			}
		}
		if hint && n > 1 && p.isItem(i, n) {
			out = append(out, piece{words: n, cost: costHead + 0.1, as: coupledItem})
		}
		if s := p.section(i, phrase); n <= 4 && s != "" && s != inStops && !startsSmall(phrase) {
			cost := costHead
			if !strings.HasSuffix(last.text, ":") && !(capitals(phrase) && p.mixed) {
				cost += 0.6
			}
			out = append(out, piece{words: n, cost: cost, as: s})
		}
		if h := (piece{}); mayHead && !afterJoin {
			if h = p.headingPiece(i, n, phrase); h.words > 0 {
				out = append(out, h)
			}
		}
		if last.end && !strings.HasSuffix(last.text, ".") && !(i+n < len(p.tokens) && lowestKey.MatchString(p.tokens[i+n].text)) {
			break
		}
	}
	return out
}

// isItem tells whether the words i to i+n are all that stands between two commas, and end with a division behind a word that joins: among couplers
// they are one, whatever stands ahead: "Octavas graves Recitativo expresivo al Gran Órgano".
func (p *page) isItem(i, n int) bool {
	last := &p.tokens[i+n-1]
	if !last.soft && !last.end && i+n < len(p.tokens) || i > 0 && !p.tokens[i-1].soft && !p.tokens[i-1].end {
		return false
	}
	joint := 0
	for k := i; k < i+n-1; k++ {
		if t := &p.tokens[k]; t.soft && !strings.HasSuffix(t.text, ".") {
			return false
		} else if k > i && joins(t.low) {
			joint = k
		}
	}
	return joint > 0 && refOf(p.phrase(joint+1, i+n)).known()
}

// opensCoupler tells whether the word i begins another coupler: "Tirasse G.O. Tirasse Récit".
func (p *page) opensCoupler(i int) bool {
	t := &p.tokens[i]
	return !startsSmall(t.core) && (strings.HasPrefix(t.low, "tirasse") || strings.HasPrefix(t.low, "accouplement"))
}

// bySlide is a coupler that is drawn by sliding a keyboard: "Accouplement à tiroir Pos/GO".
var bySlide = lazyregexp.New(`(?i)^accouplements? (?:à|par) tiroir `)

// lowestKey begins a compass: "Hauptwerk: C-g3".
var lowestKey = lazyregexp.New(`^C{1,3}(?:$|[-,])`)

// hintsCoupler tells whether the word i may stand in a coupler and in no stop.
func (p *page) hintsCoupler(i int) bool {
	t := &p.tokens[i]
	return joins(t.low) || t.low == "y" || strings.ContainsAny(t.core, "/+-") && strings.ContainsFunc(t.core, unicode.IsLetter) ||
		slices.ContainsFunc(couplerWords, func(w string) bool { first, _, _ := strings.Cut(w, " "); return strings.Contains(t.low, first) }) || strings.HasPrefix(t.low, "tir") || t.sign
}

// mayHead tells whether the word i may begin the heading of a division.
func (p *page) mayHead(i int) bool {
	t := &p.tokens[i]
	w := strings.Trim(t.low, ".")
	return headWords()[fold(w)] || manualNumbers[w] > 0 || manualWords[w] || fillers[w] && !startsSmall(t.core) || numberedManual.MatchString(w) || !startsSmall(t.core) && len(w) > 5 && nearRole(w) != ""
}

// headWords are the folded first words of the names of divisions.
var headWords = sync.OnceValue(func() map[string]bool {
	words := map[string]bool{}
	for _, d := range voicing.DivisionNames() {
		if !d.InLists {
			continue
		}
		words[fold(d.Name)] = true
		words[fold(strings.FieldsFunc(d.Name, func(c rune) bool { return strings.ContainsRune(" -'", c) })[0])] = true
		words[fold(strings.Fields(d.Name)[0])] = true
	}
	return words
})

// section is the section that a phrase at i heads; sections are told by their first words.
func (p *page) section(i int, phrase string) string {
	if startsSmall(phrase) || strings.HasPrefix(p.tokens[i].low, "tirasse") || !sectionFirst()[p.tokens[i].low] {
		return ""
	}
	return sectionOf(phrase)
}

// sectionFirst are the first words of the headings of sections.
var sectionFirst = sync.OnceValue(func() map[string]bool {
	words := map[string]bool{}
	for _, list := range sectionWords {
		for _, w := range list {
			words[strings.TrimRight(strings.Fields(plain(w))[0], ",")] = true
		}
	}
	return words
})

// headingPiece is the heading of a division of n words at i; without words where they are none.
func (p *page) headingPiece(i, n int, phrase string) piece {
	last := &p.tokens[i+n-1]
	next := ""
	if i+n < len(p.tokens) {
		next = strings.ToLower(p.tokens[i+n].core)
	}
	if last.sign || strings.Contains(phrase, "(mano") || joins(next) || strings.HasPrefix(phrase, "(") || strings.ContainsAny(phrase, ";") || endsWithSlash(phrase) || strings.Count(phrase, "(") != strings.Count(phrase, ")") {
		return piece{}
	}
	d, ok := heading(phrase)
	if !ok {
		return piece{}
	}
	colon := strings.HasSuffix(last.text, ":") || next == "-"
	marked := capitals(p.tokens[i].core) && p.mixed && len([]rune(p.tokens[i].core)) > 1 && !romanWord.MatchString(p.tokens[i].core)
	cost := costHead
	if colon {
		cost -= 0.3
	}
	if marked {
		cost -= 0.2
	}
	if startsSmall(phrase) {
		cost += 2
	}
	if d.Role == "" {
		cost += 0.4
		if romanOnly.MatchString(phrase) || beginsWithDigit(phrase) {
			cost += 1.6
			if !last.soft && !colon {
				cost += 1
			}
		}
	}
	if len([]rune(phrase)) <= 3 && !colon {
		cost += 0.8
	}
	if p.knownName(phrase).ok && !colon {
		cost += 0.9
	}
	if w := last.core; n > 1 && len(w) <= 2 && digitsOnly(w) {
		cost += 0.7
	}
	return piece{words: n, cost: cost, as: IsHeading}
}
