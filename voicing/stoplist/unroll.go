package stoplist

import (
	"math"
	"slices"
	"strings"

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
	as    string // IsStop, IsHeading, IsCoupler, IsTremulant, IsProse for a word, "" for a sign; inCouplers and inExtras for their headings; coupledItem
	text  string // of a stop, to be read
	sized bool   // it has its length or number of ranks
}

// coupledItem is what is a coupler where it stands among couplers.
const coupledItem = "item of couplers"

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
	case coupledItem:
		if s != inCoupled {
			return nil
		}
		return []move{{inCoupled, x.cost - 0.4}}
	case IsCoupler:
		switch s {
		case inCoupled:
			return []move{{inCoupled, x.cost - 0.4}}
		case inProse:
			return []move{{inList, x.cost + costIn}}
		case underHead:
			return []move{{inList, x.cost + costHeadInRow}}
		case inList:
			if p.opensCoupler(at) { // couplers may go on without a heading
				return []move{{inList, x.cost}, {inCoupled, x.cost + 0.6}}
			}
		}
		return []move{{s, x.cost}}
	}
	if (x.as == IsTremulant || x.as == IsExtra && accessoryWord.MatchString(p.tokens[at].low)) && (s == inCoupled || s == inOthers) {
		return []move{{s, x.cost}}
	}
	if s == inList && x.as == IsTremulant && x.words == 2 && refOf(p.tokens[at+1].core).role != "" { // "Trémolo Récit" ends the stops; before stops it is a tremulant, and the heading of what follows
		return []move{{inOthers, x.cost}}
	}
	switch s { // a stop or a tremulant
	case inList, underHead:
		return []move{{inList, x.cost}}
	case inProse:
		moves := []move{{inList, x.cost + costIn}}
		if x.as == IsTremulant && x.words == 2 && refOf(p.tokens[at+1].core).role != "" { // "Forte général. Trémolo Récit."
			moves = append(moves, move{inProse, x.cost + 0.3})
		}
		return moves
	}
	return []move{{inList, x.cost + 1.5}}
}
