package musicxml

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// jumps are the signs by which the playing order leaves the order of the page.
type jumps struct {
	dacapo, fine                  bool
	segno, dalsegno, coda, tocoda string
	until                         string // what a jump plays to, where words say so: "fine" or "coda"
	// signs and words, used where no sound element says the same
	segnoSign, codaSign, daCapoWord, dalSegnoWord, fineWord, toCodaWord bool
	dance, trio                                                         bool // words that head the parts of a dance
}

// Words for jumps, in Italian, English, German and French, as editions print them (common practice), in lower case
// without accents and full stops. A word for the part that comes back may stand before: "Menuetto D.C.".
const (
	// what may stand before "D.C.": the part that comes back, or "then"
	backTo = `(?:menuett?o?|menuet|minuett?o?|minuet|men|scherzo|gavotte|bourree|courante|aria|marcia|marsch|march|rondo|trio|e|poi|then|and|dann|und|puis|et|il|the|das|le|la|i|1|primo|tutto)`
	again  = `(?:(?:` + backTo + `|repeat|again|noch einmal|wieder|reprendre|reprenez|repetez|reprise|du) ){0,3}`
	// what may follow "from the beginning", which is a jump only where that is all that is said
	thence = `(?:$|(?:al|to|till|until|bis|zum|jusqu|sin|fino|and|und|et|e|poi|then|dann|puis|senza|without|ohne|sans) )`
)

var (
	daCapo   = lazyregexp.New(`^ (?:` + backTo + ` ){0,3}(?:d c|dc|da capo|dacapo|dal principio) |^ ` + again + `(?:from the (?:beginning|start|top)|(?:von|vom) (?:vorne?|anfang)(?: an)?|(?:au|du|depuis le) (?:debut|commencement)) ` + thence)
	dalSegno = lazyregexp.New(`^ (?:` + backTo + ` ){0,3}(?:d s|ds|dal segno|dal s) |^ ` + again + `(?:from the sign|(?:vom|ab) zeichen|(?:du|au|depuis le) signe) ` + thence)
	alFine   = lazyregexp.New(` (?:al|alla|sin al|fino al|to the|to|bis|bis zum|bis zu|jusqu au mot|jusqu a la|jusqu a) (?:fine|fin|ende|schluss|end) `)
	alCoda   = lazyregexp.New(` (?:al|alla|e poi la|poi la|e la|to the|to|zur|und|dann|a la|puis la|et) coda `)
	toCoda   = lazyregexp.New(`^ (?:to|to the|al|alla|zur|zum|a la|vers la|alla) coda `)
	fine     = lazyregexp.New(`^ (?:fine|fin|ende|schluss|end|il fine|the end)(?: d c| dc| da capo| after d c)? $`)
	coda     = lazyregexp.New(`^ coda(?: [0-9]+| i+)? $`)
	dance    = lazyregexp.New(`^ (?:menuett?o?|menuett|minuett?o?|men|scherzo|gavotte|bourree|courante|aria|marcia|marsch|march) `)
	trio     = lazyregexp.New(`^ (?:trio|(?:menuett?o?|menuett|minuett?o?|gavotte|bourree) (?:ii|2|secondo|alternativo)|maggiore|minore|musette|alternativo) `)
)

// mostJumpWords bounds the words of a direction that may be one for a jump.
const mostJumpWords = 9

// jumpWords keeps what words say about the playing order.
func (r *reader) jumpWords(m *measure, words string) {
	plain := plainWords(words)
	if n := len(strings.Fields(plain)); n == 0 || n > mostJumpWords {
		return
	}
	b := &r.bars[m.index]
	switch {
	case daCapo.MatchString(plain):
		b.daCapoWord = true
	case dalSegno.MatchString(plain):
		b.dalSegnoWord = true
	case toCoda.MatchString(plain):
		b.toCodaWord = true
	case coda.MatchString(plain):
		b.codaSign = true
	case fine.MatchString(plain):
		b.fineWord = true
	case trio.MatchString(plain):
		b.trio = true
	case dance.MatchString(plain):
		b.dance = true
	}
	if b.daCapoWord || b.dalSegnoWord {
		if alFine.MatchString(plain) {
			b.until = "fine"
		} else if alCoda.MatchString(plain) {
			b.until = "coda"
		}
	}
}

// besideSound is how many bars off a sound element may stand that says the same as a word.
const besideSound = 2

// signs fills in from signs and words what the sound elements leave out.
func (r *reader) signs() {
	has := func(from, to int, f func(b *barInfo) bool) bool {
		return slices.ContainsFunc(r.bars[max(0, from):min(to, len(r.bars))], func(b barInfo) bool { return f(&b) })
	}
	near := func(i int, f func(b *barInfo) bool) bool { return has(i-besideSound, i+besideSound+1, f) }
	var dacapo, finis []int
	for i := range r.bars {
		b := &r.bars[i]
		if b.daCapoWord && !near(i, func(b *barInfo) bool { return b.dacapo || b.dalsegno != "" }) {
			dacapo = append(dacapo, i)
		}
		if b.fineWord && !near(i, func(b *barInfo) bool { return b.fine }) {
			finis = append(finis, i)
		}
	}
	for _, i := range dacapo {
		r.bars[i].dacapo = true
	}
	for _, i := range finis {
		r.bars[i].fine = true
	}
	all := len(r.bars)
	if !has(0, all, func(b *barInfo) bool { return b.dalsegno != "" }) {
		for i := range r.bars {
			if r.bars[i].dalSegnoWord {
				r.bars[i].dalsegno = "segno"
			}
		}
	}
	if !has(0, all, func(b *barInfo) bool { return b.segno != "" }) {
		for i := range r.bars {
			if r.bars[i].segnoSign {
				r.bars[i].segno = "segno"
			}
		}
	}
	if !has(0, all, func(b *barInfo) bool { return b.tocoda != "" || b.coda != "" }) {
		r.codaSigns(has(0, all, func(b *barInfo) bool { return b.toCodaWord }))
	}
}

// codaSigns tells the sign that is left at from the one where the music goes on: of two the first and the last.
func (r *reader) codaSigns(words bool) {
	var at []int
	for i := range r.bars {
		switch b := &r.bars[i]; {
		case b.toCodaWord:
			b.tocoda = "coda"
		case b.codaSign:
			at = append(at, i)
		}
	}
	if len(at) > 1 && !words {
		r.bars[at[0]].tocoda = "coda"
	}
	if len(at) > 0 && (words || len(at) > 1) {
		r.bars[at[len(at)-1]].coda = "coda"
	}
}

// segnoFor is the sign that the bar i sends back to: the nearest before it of that name, else the nearest of any name,
// else the first there is; -1 where there is none.
func (r *reader) segnoFor(i int) int {
	any := -1
	for j := i; j >= 0; j-- {
		switch s := r.bars[j].segno; {
		case s == "":
		case s == r.bars[i].dalsegno:
			return j
		case any < 0:
			any = j
		}
	}
	if any >= 0 {
		return any
	}
	return slices.IndexFunc(r.bars, func(b barInfo) bool { return b.segno != "" })
}

// codaAfter is the coda that the bar i sends to: the one of its name, else any
// later one, else -1. A coda never lies before the bar that leads to it.
func (r *reader) codaAfter(i int) int {
	to := -1
	for j := i + 1; j < len(r.bars); j++ {
		switch c := r.bars[j].coda; {
		case c == "":
		case c == r.bars[i].tocoda:
			return j
		case to < 0:
			to = j
		}
	}
	return to
}
