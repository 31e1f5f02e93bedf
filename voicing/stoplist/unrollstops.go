package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

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
	if !t.isTwo(bare) {
		add(key, cost)
	}
	if head, degree := lastWord(bare); !x.ok && degreeOf.MatchString(degree) { // "Nasardo 12ª"
		add(fold(head), 0)
	}
	for _, s := range []string{halfAtEnd.ReplaceAllString(bare, ""), italianHalf.ReplaceAllString(bare, "")} {
		if !x.ok && s != bare {
			add(fold(s), 0.05)
		}
	}
	if rest := withoutHand(bare); !x.ok && rest != bare {
		add(fold(rest), 0.05)
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

// withoutHand is a name without the half of the keyboard behind it: "Flauta travessera mano derecha".
func withoutHand(name string) string {
	head, last := lastWord(name)
	if first, side := lastWord(head); first != "" && handOf(side+" "+last) != "" {
		return first
	}
	if head != "" && handOf(last) != "" {
		return head
	}
	return name
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
	if nameAt < len(p.tokens) && p.tokens[nameAt].low != "" && p.tokens[nameAt].low[0] == 't' && tremulantAlone(p.tokens[nameAt].core) {
		return nil
	}
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
