package stoplist

import (
	"math"
	"slices"
	"strings"
	"sync"
	"unicode"

	"afterchord/acoustics/lazyregexp"
)

// A page that was copied without its line ends is one line: prose, headings, stops and couplers with nothing between them. It is unrolled
// into the lines it had. Each run of words may be a stop, a heading, a coupler or prose, and has a cost as each of them; the way
// of reading the whole page that costs least is taken. Whether lengths stand before names and whether the stops are counted is decided once
// for the page, by the same cost.

// stretch is a part of a page that would have been a line of its own.
type stretch struct {
	printed string // as it stands in the page
	text    string // to be read: without the number that counts it and the number of its pipes, its length behind its name
	prose   bool
}

// leastWords is the number of words from which a line can be a page.
const leastWords = 20

// leastStops is the number of stops from which it is one.
const leastStops = 6

// token is a word of a page.
type token struct {
	word
	core string // without the signs behind it
	end  bool   // a sentence or an item ends behind it
	soft bool   // a comma stands behind it, or a full stop that may only shorten it
	sign bool   // it is a sign that parts items
	low  string // core without case and accents
	hint bool   // it may stand in a coupler
}

// state is what the words up to some place belong to.
type state int

const (
	inProse state = iota
	inList
	underHead // behind a heading, where its first stop stands
	inCoupled // under a heading of couplers
	inOthers  // under a heading of accessories
	states
)

// piece is a run of words read as one thing.
type piece struct {
	words int
	cost  float64
	as    string // IsStop, IsHeading, IsCoupler, IsTremulant, IsProse for a word, "" for a sign; inCouplers and inExtras for their headings
	text  string // of a stop, to be read
	sized bool   // it has its length or number of ranks
}

// Costs. A word of prose costs about a third; a known stop with its usual length costs as much as one such word and covers two or more.
const (
	costStop      = 0.4
	costUnusual   = 1.2 // a length that the stop is not made in
	costLengthOut = 0.6 // no length, in a page that prints them
	costStranger  = 1.5 // a length behind words that are no known name
	costCounted   = 0.4 // no number, in a page that counts its stops
	costHead      = 0.6
	costLost      = 2.0 // a word within a list that is not understood
	costRemark    = 1.2 // the same in small letters, a remark
	costIn        = 3.0 // a list that begins without a heading
	costOut       = 1.2 // a list that ends without the end of a sentence before it
	costFalseHead = 4.0 // a heading with prose below it
	costHeadInRow = 1.5 // a heading with a heading below it
)

// page is a line to be unrolled.
type page struct {
	text    string
	tokens  []token
	plain   []word
	mixed   bool // capitals stand out
	sized   bool // most stops have their lengths
	heads   [][]piece
	names   map[string]named
	counted []countMark
}

// named is how well a name is known.
type named struct {
	cost  float64
	kinds []*Kind
	ok    bool
}

// degreeAlone is a rank of the ripieno by its interval: "22a", "XIX".
var degreeAlone = lazyregexp.New(`^(?:(?:15|19|22|26|29|33|36)[aª°]|X(?:V|IX)|XX(?:II|VI|IX)|XXX(?:III|VI))$`)

var partingSign = lazyregexp.New(`[•·●○▪|]`)

func newPage(line string) *page {
	p := &page{names: map[string]named{}, mixed: lowerCase(line)}
	p.text = secondLength.ReplaceAllString(partingSign.ReplaceAllString(line, " $0 "), "$1 II")
	p.plain = wordsOf(p.text)
	for _, w := range p.plain {
		core := strings.TrimRight(w.text, ".,;:")
		behind := w.text[len(core):]
		t := token{word: w, core: core, low: plain(strings.TrimLeft(core, "([")), soft: behind != ""}
		t.end = strings.ContainsAny(behind, ";:") || strings.Contains(behind, ".") && (len([]rune(core)) > 3 || strings.HasSuffix(core, "'"))
		t.sign = strings.Trim(w.text, "•·●○▪|-*/+~&.,:;") == ""
		p.tokens = append(p.tokens, t)
	}
	for i := range p.plain {
		p.plain[i].text = strings.TrimRight(p.plain[i].text, ",;:")
		if n := strings.TrimSuffix(p.plain[i].text, "."); footNumber.MatchString(n) && n != "1" { // at the end of a sentence
			p.plain[i].text = n
		}
		p.tokens[i].hint = p.hintsCoupler(i)
	}
	sizes := 0
	for i, w := range p.plain {
		if sizeAt(p.plain[i:]) > 0 && romanless(w.text) {
			sizes++
		}
	}
	p.sized = sizes*7 >= len(p.plain)
	return p
}

func (p *page) phrase(from, to int) string {
	return strings.TrimRight(p.text[p.tokens[from].at:p.tokens[to-1].at+len(p.tokens[to-1].text)], ",;: ")
}

// unroll parts a page into its lines; nil where the line is no page.
func unroll(line string) []stretch {
	if strings.Contains(line, "\t") || len(line) < 120 {
		return nil
	}
	p := newPage(line)
	if len(p.tokens) < leastWords {
		return nil
	}
	p.heads = make([][]piece, len(p.tokens))
	for i := range p.tokens {
		p.heads[i] = p.headsAt(i)
	}
	var best []step
	for _, o := range []order{nameFirst, lengthFirst, ranksFirst} {
		p.counted = make([]countMark, len(p.tokens))
		counts, any := p.runningNumbers(o)
		if way := p.cheapest(o, false); best == nil || total(way) < total(best)-1e-9 {
			best = way
		}
		if p.counted = counts; any {
			if way := p.cheapest(o, true); total(way) < total(best)-1e-9 {
				best = way
			}
		}
	}
	return p.lines(best)
}

// order is how the stops of a page are written.
type order int

const (
	nameFirst   order = iota // "Principal 8 Mixture IV"
	lengthFirst              // "8 Principal Mixture IV"
	ranksFirst               // "8 Principal IV Mixture"
)

// step is one piece of a way of reading, and the state behind it.
type step struct {
	piece
	from int
	to   state
	sum  float64
}

func total(way []step) float64 {
	if len(way) == 0 {
		return math.Inf(1)
	}
	return way[len(way)-1].sum
}

// cheapest is the way of reading the page that costs least.
func (p *page) cheapest(o order, counted bool) []step {
	type place struct {
		step
		before state
	}
	n := len(p.tokens)
	at := make([][states]place, n+1)
	for i := range at {
		for s := range at[i] {
			at[i][s].sum = math.Inf(1)
		}
	}
	at[0][inProse].sum = 0
	for i := range n {
		pieces := slices.Concat(p.words(i), p.heads[i], p.stopsAt(i, o, counted))
		for s := range states {
			here := at[i][s].sum
			if math.IsInf(here, 1) {
				continue
			}
			for _, x := range pieces {
				for _, m := range p.moves(s, x, i) {
					to := &at[i+x.words][m.to]
					if sum := here + m.cost; sum < to.sum-1e-9 {
						*to = place{step{x, i, m.to, sum}, s}
					}
				}
			}
		}
	}
	end := inProse
	for s := range states {
		if s != underHead && at[n][s].sum < at[n][end].sum {
			end = s
		}
	}
	var way []step
	for i, s := n, end; i > 0; {
		x := at[i][s]
		way = append(way, x.step)
		i, s = x.from, x.before
	}
	slices.Reverse(way)
	return way
}

type move struct {
	to   state
	cost float64
}

// moves are the states that a piece leads to from state s, and what each costs.
func (p *page) moves(s state, x piece, at int) []move {
	broken := at == 0 || p.tokens[at-1].end || p.tokens[at-1].sign // before the piece
	leave := 0.0
	if !broken {
		leave = costOut
	}
	switch x.as {
	case "":
		return []move{{s, x.cost}}
	case IsProse:
		lost := x.cost + costLost
		if startsSmall(p.tokens[at].core) {
			lost = x.cost + costRemark
		}
		coupled := 0.4
		if !p.tokens[at].hint && beginsWithLetter(p.tokens[at].core) && !refOf(p.tokens[at].core).known() {
			coupled = 1.1
		}
		switch s {
		case inProse:
			return []move{{inProse, x.cost}}
		case inList:
			return []move{{inProse, x.cost + leave + 0.8}, {inList, lost}}
		case underHead:
			return []move{{inProse, x.cost + costFalseHead}, {underHead, x.cost + 0.9}}
		case inCoupled:
			return []move{{inProse, x.cost + leave*0.4 + 0.4}, {inCoupled, coupled}}
		}
		return []move{{inProse, x.cost + leave}, {inOthers, 0.45}}
	case IsHeading:
		switch s {
		case inProse:
			return []move{{underHead, x.cost + 0.6 + leave*0.5}}
		case underHead:
			return []move{{underHead, x.cost + costHeadInRow}}
		}
		if s == inCoupled && !broken {
			return []move{{underHead, x.cost + 0.6}}
		}
		return []move{{underHead, x.cost}}
	case inCouplers, inExtras:
		to := inCoupled
		if x.as == inExtras {
			to = inOthers
		}
		if s == inProse {
			return []move{{to, x.cost + 1 + leave*0.5}}
		}
		return []move{{to, x.cost}}
	case IsCoupler:
		switch s {
		case inCoupled:
			return []move{{inCoupled, x.cost - 0.4}}
		case inProse:
			return []move{{inList, x.cost + costIn}}
		case underHead:
			return []move{{inList, x.cost + costHeadInRow}}
		}
		return []move{{s, x.cost}}
	}
	if x.as == IsTremulant && (s == inCoupled || s == inOthers) {
		return []move{{s, x.cost}}
	}
	switch s { // a stop or a tremulant
	case inList, underHead:
		return []move{{inList, x.cost}}
	case inProse:
		return []move{{inList, x.cost + costIn}}
	}
	return []move{{inList, x.cost + 1.5}}
}

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
			case n <= 2 && t.low[0] == 't' && (tremulantAlone(phrase) || twoTremulants.MatchString(phrase) || n == 2 && tremulantAlone(t.core) && refOf(last.core).role != ""):
				out = append(out, piece{words: n, cost: costStop, as: IsTremulant})
			case n <= 3 && !startsSmall(t.core) && accessoryWord.MatchString(t.low) && (n == 1 || n == 2 && accessoryWord.MatchString(last.low) || refOf(strings.TrimRight(last.text, ",;:")).role != ""):
				out = append(out, piece{words: n, cost: costHead + 0.1*float64(n), as: IsExtra})
			case !hint && !strings.HasPrefix(t.low, "m"):
			case coupler > 0 && !shiftWord.MatchString(last.low): // "Great to Pedal" goes no further
				coupler = 9
			case coupler < 9 && (n >= 3 && spokenCoupler(phrase) || strings.ContainsAny(phrase, "/-+") && strings.ContainsFunc(phrase, unicode.IsLetter) && isPair(phrase) && !p.knownName(phrase).ok ||
				n > 1 && t.hint && !joins(t.low) && !joins(last.low) && p.section(i, t.core) == "" && looksLikeCoupler(phrase) && !p.knownName(phrase).ok && !last.sign):
				cost := costHead + 0.1
				for k := i; k < i+n; k++ {
					if w := &p.tokens[k]; !w.hint && !shiftWord.MatchString(w.low) && !refOf(w.core).known() {
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
	for _, names := range roleNames {
		for _, n := range names {
			n = strings.TrimPrefix(n, "+")
			words[fold(n)] = true
			words[fold(strings.FieldsFunc(n, func(c rune) bool { return strings.ContainsRune(" -'", c) })[0])] = true
			words[fold(strings.Fields(n)[0])] = true
		}
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

// knownName looks a name up, once for the page.
func (p *page) knownName(name string) named {
	if x, ok := p.names[name]; ok {
		return x
	}
	x := p.look(name)
	p.names[name] = x
	return x
}

func (p *page) look(name string) (x named) {
	t := table()
	bare := trimName(name)
	key := fold(bare)
	if len(key) < 2 {
		return x
	}
	add := func(key string, cost float64) {
		for _, n := range t.byKey[key] {
			x.kinds = append(x.kinds, n.kind)
		}
		if len(t.byKey[key]) > 0 && !x.ok {
			x.ok, x.cost = true, cost
		}
	}
	cost := 0.0
	if first, rest, several := strings.Cut(bare, " "); several && mainDivision.MatchString(first) && len(t.byKey[fold(rest)]) > 0 {
		cost = 0.7 // "Great Open Diapason": rather the Great and its Open Diapason
	}
	add(key, cost)
	if head, degree := lastWord(bare); !x.ok && degreeOf.MatchString(degree) { // "Nasardo 12ª"
		add(fold(head), 0)
	}
	for _, s := range []string{halfAtEnd.ReplaceAllString(bare, ""), italianHalf.ReplaceAllString(bare, "")} {
		if !x.ok && s != bare {
			add(fold(s), 0.05)
		}
	}
	if x.ok {
		return x
	}
	for _, short := range withoutBass(key) {
		cost := 0.1
		if words := strings.Fields(bare); len(words) > 1 && (roleOf(fold(words[0])) != "" || roleOf(fold(words[len(words)-1])) != "") {
			cost = 0.9 // "Pedal Bourdon": rather the pedal and its Bourdon
		}
		add(short, cost)
	}
	if !x.ok && cutWord.MatchString(name) {
		if k, _ := t.longForm(name, asked{}); k != nil {
			return named{0.1, []*Kind{k}, true}
		}
	}
	return x
}

// likeName is how dear a name is that is not in the table but like one.
func (p *page) likeName(name string) named {
	key := "?" + name
	if x, ok := p.names[key]; ok {
		return x
	}
	var x named
	if k, how, as := table().lookUp(name, asked{}); k != nil {
		x = named{kinds: []*Kind{k}, ok: true}
		switch how {
		case exactly, byBeginning:
			x.cost = 0.1
		case bySpelling:
			x.cost = 0.3
		case byWords:
			x.cost = 0.5 + 0.5*float64(len(strings.Fields(name))-len(strings.Fields(as)))
		default:
			x.cost = 0.7 + 0.5*float64(len(strings.Fields(name))-1)
		}
	}
	p.names[key] = x
	return x
}

// size is a run of lengths and ranks.
type size struct {
	words int
	feet  float64
	ranks bool
}

// sizesAt is the size that begins at i: a length, ranks, or both in either order.
func (p *page) sizesAt(i int) size {
	s := p.oneSizeAt(i)
	if s.words == 0 || p.tokens[i+s.words-1].end || p.tokens[i+s.words-1].sign {
		return s
	}
	if t := p.oneSizeAt(i + s.words); t.words > 0 && t.ranks != s.ranks {
		return size{s.words + t.words, s.feet + t.feet, true}
	}
	return s
}

// oneSizeAt is the length or the number of ranks that begins at i.
func (p *page) oneSizeAt(i int) (s size) {
	if i >= len(p.tokens) || p.counted[i] == mustCount {
		return s
	}
	if i+1 < len(p.tokens) && p.tokens[i+1].core == "h" && smallCount.MatchString(p.tokens[i].core) && atoi(p.tokens[i].core) <= 9 { // hileras
		return size{words: 2, ranks: true}
	}
	n := sizeAt(p.plain[i:])
	if n == 0 {
		if p.tokens[i].low == "de" && i+1 < len(p.tokens) && palms[float64(atoi(p.tokens[i+1].core))] > 0 { // "Flautado de 13"
			return size{words: 2, feet: float64(atoi(p.tokens[i+1].core))}
		}
		return s
	}
	if !romanless(p.plain[i+n-1].text) {
		return size{words: n, ranks: true}
	}
	f, ok := feetOf(strings.Trim(p.phrase(i, i+n), "'., "))
	if !ok {
		return s
	}
	return size{words: n, feet: f}
}

// mainDivision heads a division far more often than it begins the name of a stop.
var mainDivision = lazyregexp.New(`(?i)^(?:great|swell|choir|pedal|pedale|pedaal|p[ée]dale|hauptwerk|hoofdwerk|positif|positiv)$`)

// degreeOf tells the stops of a name by the interval that they sound.
var degreeOf = lazyregexp.New(`^(?:5|8|10|12|15|17|19|22|24|26)[ªa°]$`)

func lastWord(name string) (head, last string) {
	i := strings.LastIndexByte(name, ' ')
	return name[:max(i, 0)], name[i+1:]
}

// ordinalName begins a name by its interval or its place: "12th", "1re Trompette".
var ordinalName = lazyregexp.New(`^(?:\d{1,2}(?:st|nd|rd|th)|1re|1[eè]re|2e|2[eè]me)$`)

// suits tells whether one of the kinds is made in a length.
func suits(kinds []*Kind, feet float64) bool {
	return slices.ContainsFunc(kinds, func(k *Kind) bool {
		if k.Compound != "" {
			return true
		}
		for _, f := range []float64{feet, feet / 2} { // "Contra", "Double" and "bass" double it
			if _, ok := exactFeet(k, f); ok {
				return true
			}
		}
		return false
	})
}

// stopsAt are the stops that begin at i: a number that counts, the name and its size in the page's order, notes and the number of pipes.
func (p *page) stopsAt(i int, o order, counted bool) []piece {
	switch {
	case !counted:
		return p.stopsFrom(i, i, o, 0)
	case p.counted[i] == noCount:
		return p.stopsFrom(i, i, o, costCounted)
	case p.counted[i] == mayCount && o != nameFirst:
		return append(p.stopsFrom(i, i+1, o, 0), p.stopsFrom(i, i, o, costCounted)...)
	}
	return p.stopsFrom(i, i+1, o, 0)
}

// stopsFrom are the stops of the words i and on whose length or name begins at the word from; extra is added to their costs.
func (p *page) stopsFrom(i, from int, o order, extra float64) (out []piece) {
	var before size
	if o != nameFirst && from < len(p.tokens) {
		if before = p.sizesAt(from); o == lengthFirst && before.ranks {
			if before = p.oneSizeAt(from); before.ranks {
				before = size{}
			}
		}
		if before.words == 0 {
			extra += costLengthOut
		}
	}
	nameAt := from + before.words
	for n := 1; n <= 6 && nameAt+n <= len(p.tokens); n++ {
		last := &p.tokens[nameAt+n-1]
		if n > 1 && p.tokens[nameAt+n-2].end && !strings.HasSuffix(p.tokens[nameAt+n-2].text, ".") || n > 1 && p.tokens[nameAt+n-2].sign {
			break
		}
		if !beginsWithLetter(last.text) && !ordinalName.MatchString(last.core) && !(n > 1 && degreeOf.MatchString(last.core)) && last.text != "&" && !(n > 1 && strings.HasPrefix(strings.ToLower(p.tokens[nameAt+n-2].text), "no")) {
			break
		}
		if n == 1 && last.text == "&" {
			break
		}
		if n == 1 && halfWord.MatchString(last.low) || last.text == "&" || last.sign {
			continue
		}
		name := p.phrase(nameAt, nameAt+n)
		out = append(out, p.stopsNamed(i, from, nameAt, n, name, before, o, extra)...)
	}
	return out
}

// stopsNamed are the stops of one name, the words nameAt to nameAt+n.
func (p *page) stopsNamed(i, from, nameAt, n int, name string, before size, o order, extra float64) (out []piece) {
	end := nameAt + n
	known := p.knownName(name)
	cost := costStop + extra
	if !known.ok && onlyNotes(name) || severalNames(p.plain[nameAt:end]) {
		return nil
	}
	for k := nameAt; k+1 < end; k++ {
		if p.tokens[k].soft && !(strings.HasSuffix(p.tokens[k].text, ".") && len([]rune(p.tokens[k].core)) <= 6) {
			cost += 0.5
		}
	}

	size := before
	if o != nameFirst {
		if s := p.sizesAt(end); s.words > 0 && !p.tokens[end-1].end && !p.tokens[end-1].soft {
			switch one := p.oneSizeAt(end); {
			case o == lengthFirst && one.ranks: // "2 2/3 Kornet II"
				size.ranks, size.words = true, size.words+one.words
				end += one.words
			case o == ranksFirst && before.ranks && before.feet == 0 && s.feet > 0 && !s.ranks: // "IV Mixture 1 1/3'"
				more := before
				more.feet, more.words = s.feet, before.words+s.words
				out = p.sizedStops(i, from, nameAt, n, end+s.words, name, before, more, o, known, cost)
			}
		}
	} else {
		if _, m := notesAt(p.plain[end:]); m > 0 && p.sizesAt(end+m).words > 0 { // "Open Diapason, wood 16"
			end += m
		}
		if !(p.tokens[end-1].end && !strings.HasSuffix(p.tokens[end-1].text, ".")) {
			size = p.sizesAt(end)
			if one := p.oneSizeAt(end); one.words < size.words { // "Trompete 8' II. Schwellwerk"
				out = p.sizedStops(i, from, nameAt, n, end+one.words, name, before, one, o, known, cost)
			}
			end += size.words
		}
	}
	return append(out, p.sizedStops(i, from, nameAt, n, end, name, before, size, o, known, cost)...)
}

// sizedStops are the stops of a name whose name and size end before the word end.
func (p *page) sizedStops(i, from, nameAt, n, end int, name string, before, size size, o order, known named, cost float64) (out []piece) {
	if startsSmall(name) && n > 1 && !startsSmall(p.tokens[nameAt+n-1].core) {
		cost++
	}
	switch has := size.feet > 0 || size.ranks; {
	case has && known.ok:
		cost += known.cost
	case has:
		if n > 3 {
			return nil
		}
		if like := p.likeName(name); like.ok && like.cost < costStranger {
			known.kinds = like.kinds
			cost += like.cost
		} else {
			cost += costStranger + 0.5*float64(n-1)
		}
		if startsSmall(name) {
			cost += 1
		}
		if size.feet == 0 && len(known.kinds) == 0 {
			cost += 1
		}
	case known.ok:
		cost += known.cost + 0.1
		if own := (i == 0 || p.tokens[i-1].soft || p.tokens[i-1].end || p.tokens[i-1].sign) && (p.tokens[end-1].soft || end < len(p.tokens) && p.tokens[end].sign); p.sized && !own {
			cost += costLengthOut
		}
		if startsSmall(name) {
			cost += 1
		}
	default:
		return nil
	}
	if size.feet > 0 && len(known.kinds) > 0 && !suits(known.kinds, size.feet) {
		cost += costUnusual
	}
	if size.ranks && len(known.kinds) > 0 && !slices.ContainsFunc(known.kinds, func(k *Kind) bool { return k.Compound != "" || k.Celeste }) {
		cost += 0.8
	}
	if o == lengthFirst && before.words == 0 && size.ranks {
		cost -= costLengthOut // "Mixture IV" among "8 Principal"
	}
	sized := func(tail string) string {
		if o != nameFirst {
			length := ""
			if before.words > 0 {
				length = p.phrase(from, from+before.words)
			}
			return strings.Join(strings.Fields(p.phrase(nameAt, end)+" "+length+" "+tail), " ")
		}
		return strings.Join(strings.Fields(p.phrase(nameAt, end)+" "+tail), " ")
	}

	add := func(end int, cost float64, tail string) {
		out = append(out, piece{words: end - i, cost: cost, as: IsStop, text: sized(tail), sized: size.words > 0})
	}
	add(end, cost, "")
	said, m := "", 0
	if !p.tokens[end-1].end {
		said, m = notesAt(p.plain[end:])
	}
	if strings.Contains(said, "(mano") {
		said, m = "", 0
	}
	if m > 0 {
		add(end+m, cost+0.05*float64(m), said)
	}
	if at := end + m; at < len(p.tokens) && !p.tokens[at-1].end && smallNumber(p.plain[at].text) && p.counted[at] == noCount { // the number of its pipes
		if at+1 < len(p.tokens) && pipesWord.MatchString(p.plain[at+1].text) {
			add(at+2, cost, said)
			if after, k := notesAt(p.plain[min(len(p.plain), at+2):]); k > 0 {
				add(at+2+k, cost+0.05, said+" "+after)
			}
		} else if atoi(strings.Trim(p.plain[at].text, "(),.")) >= 12 {
			add(at+1, cost+0.15, said)
		}
	}
	return out
}

// countMark is whether a number counts a stop.
type countMark int

const (
	noCount countMark = iota
	mayCount
	mustCount
)

// runningNumbers marks the numbers that count the stops: runs of numbers one after the other, each before a name, or before a length where
// lengths come first. Where a number of the run stands at several places, each may count.
func (p *page) runningNumbers(o order) (out []countMark, any bool) {
	out = make([]countMark, len(p.tokens))
	places := map[int][]int{}
	for i, t := range p.tokens[:len(p.tokens)-1] {
		next := p.tokens[i+1].core
		if countWord.MatchString(t.text) && (beginsWithLetter(next) || ordinalName.MatchString(next) || o != nameFirst && p.oneSizeAt(i+1).words > 0) {
			n := atoi(strings.TrimRight(t.text, "abc.)"))
			places[n] = append(places[n], i)
		}
	}
	for _, first := range places[1] {
		if out[first] != noCount {
			continue
		}
		run := []int{first} // as early as can be
		for {
			at := slices.IndexFunc(places[len(run)+1], func(i int) bool { return i > run[len(run)-1] })
			if at < 0 {
				break
			}
			run = append(run, places[len(run)+1][at])
		}
		if len(run) < 4 {
			continue
		}
		any = true
		late := len(p.tokens)
		for k := len(run) - 1; k >= 0; k-- {
			latest := run[k]
			for _, i := range places[k+1] {
				if k < len(run)-1 && i < late && i > latest {
					latest = i
				}
			}
			for _, i := range places[k+1] {
				if i >= run[k] && i <= latest {
					out[i] = mayCount
					if latest == run[k] {
						out[i] = mustCount
					}
				}
			}
			late = latest
		}
	}
	return out, any
}

// lines are the lines of the page by a way of reading it; nil where they are no stop list.
func (p *page) lines(way []step) []stretch {
	stops, sized, parted, heads, lost, outside := 0, 0, 0, 0, 0, 0
	for _, x := range way {
		switch {
		case x.as == IsStop:
			stops++
			if x.sized {
				sized++
			}
			if end := x.from + x.words; p.tokens[end-1].soft || p.tokens[end-1].end || end < len(p.tokens) && p.tokens[end].sign {
				parted++
			}
		case x.as == IsHeading:
			heads++
		case x.as == IsProse && x.to == inProse:
			outside++
		case x.as == IsProse && (x.to == inList || x.to == underHead):
			lost++
		}
	}
	if stops < leastStops || sized < leastStops-2 || sized*5 < stops*2 || lost*3 > stops || heads < 2 && (outside < 12 || parted*2 > stops) {
		return nil
	}
	var out []stretch
	for k := 0; k < len(way); {
		x := way[k]
		j := k + 1
		end := x.from + x.words
		together := func(x step) bool { // words that are not told apart
			return x.as == IsProse || x.as == "" && x.to != inList && x.to != underHead || (x.to == inCoupled || x.to == inOthers) && x.as == IsCoupler
		}
		for together(x) && j < len(way) && way[j].to == x.to && together(way[j]) && !(x.to == inCoupled && way[j].as == IsCoupler) {
			if x.to == inProse && p.tokens[end-1].end {
				break
			}
			end = way[j].from + way[j].words
			j++
		}
		printed := strings.TrimSpace(p.text[p.tokens[x.from].at : p.tokens[end-1].at+len(p.tokens[end-1].text)])
		s := stretch{printed: printed, text: strings.TrimRight(printed, " ,;:")}
		switch {
		case x.as == "" && j == k+1:
			k = j
			continue
		case x.as == IsStop:
			s.text = x.text
		case x.to == inCoupled:
			s.text = closingWord.ReplaceAllString(s.text, "")
		case x.as == IsProse:
			s.text, s.prose = printed, x.to == inProse
		}
		k = j
		out = append(out, s)
	}
	return out
}

// origin is where a line comes from.
type origin struct {
	number  int    // of the printed line, from 1
	printed string // as it stands in the text
	prose   bool   // it is known to be no part of the list
}

// unrolled puts the lines of each page in the place of it.
func unrolled(lines []string) (out []string, from []origin) {
	for i, line := range lines {
		parts := unroll(tidy(line))
		if parts == nil {
			out, from = append(out, line), append(from, origin{i + 1, strings.TrimSpace(line), false})
		}
		for _, s := range parts {
			out, from = append(out, s.text), append(from, origin{i + 1, s.printed, s.prose})
		}
	}
	return out, from
}
