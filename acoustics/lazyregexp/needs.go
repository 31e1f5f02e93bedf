package lazyregexp

import (
	"math/bits"
	"regexp/syntax"
	"slices"
	"unicode"
)

// An expression with captures runs the slow way of the standard library, some tenths of a microsecond a letter, and most of those that a reader
// of texts asks match nothing. What bytes a match cannot do without is seen from the expression: a text that lacks one of them is answered
// without running it.

// bytesOf is a set of bytes.
type bytesOf [4]uint64

func (b *bytesOf) add(c byte) { b[c>>6] |= 1 << (c & 63) }

func (b *bytesOf) meets(o *bytesOf) bool {
	return b[0]&o[0]|b[1]&o[1]|b[2]&o[2]|b[3]&o[3] != 0
}

// addRunes adds the bytes with which the runes from lo to hi begin; beyond ASCII all of them.
func (b *bytesOf) addRunes(lo, hi rune) {
	for r := lo; r <= min(hi, 0x7f); r++ {
		b.add(byte(r))
	}
	if hi > 0x7f {
		b[2], b[3] = ^uint64(0), ^uint64(0)
	}
}

// usual is about how often a text has one of the bytes: letters that are in every word count most.
func (b *bytesOf) usual() int {
	n := bits.OnesCount64(b[0]) + bits.OnesCount64(b[1])*2
	for _, c := range []byte(" aeinorst") {
		if b[c>>6]>>(c&63)&1 != 0 {
			n += 20
		}
	}
	if b[2] != 0 {
		n += 4
	}
	return n
}

// mostNeeds is the number of needs of one expression or alternative that are kept, the rarest.
const mostNeeds = 4

// need is what a match cannot do without: one byte of a set, or else all that one of several alternatives needs.
type need struct {
	one  bytesOf
	ways [][]need
}

func (n *need) usual() int {
	if n.ways == nil {
		return n.one.usual()
	}
	return 0 // few texts hold a whole alternative
}

// needsOf are the needs of every match of an expression.
func needsOf(text string) []need {
	re, err := syntax.Parse(text, syntax.Perl)
	if err != nil {
		return nil
	}
	return rarest(needed(re))
}

func rarest(needs []need) []need {
	slices.SortStableFunc(needs, func(a, b need) int { return a.usual() - b.usual() })
	needs = slices.CompactFunc(needs, func(a, b need) bool { return a.ways == nil && b.ways == nil && a.one == b.one })
	return needs[:min(len(needs), mostNeeds)]
}

func needed(re *syntax.Regexp) []need {
	switch re.Op {
	case syntax.OpLiteral:
		var out []need
		for _, r := range re.Rune {
			var b bytesOf
			b.addRunes(r, r)
			if re.Flags&syntax.FoldCase != 0 {
				for f := unicode.SimpleFold(r); f != r; f = unicode.SimpleFold(f) {
					b.addRunes(f, f)
				}
			}
			out = append(out, need{one: b})
		}
		return out
	case syntax.OpCharClass:
		var b bytesOf
		for i := 0; i+1 < len(re.Rune); i += 2 {
			b.addRunes(re.Rune[i], re.Rune[i+1])
		}
		return []need{{one: b}}
	case syntax.OpCapture, syntax.OpPlus:
		return needed(re.Sub[0])
	case syntax.OpRepeat:
		if re.Min > 0 {
			return needed(re.Sub[0])
		}
	case syntax.OpConcat:
		var out []need
		for _, sub := range re.Sub {
			out = append(out, needed(sub)...)
		}
		return out
	case syntax.OpAlternate:
		var ways [][]need
		for _, sub := range re.Sub {
			needs := rarest(needed(sub))
			if len(needs) == 0 {
				return nil
			}
			ways = append(ways, needs)
		}
		return []need{{ways: ways}}
	}
	return nil
}

func met(needs []need, has *bytesOf) bool {
	for i := range needs {
		n := &needs[i]
		if n.ways == nil && !n.one.meets(has) || n.ways != nil && !slices.ContainsFunc(n.ways, func(way []need) bool { return met(way, has) }) {
			return false
		}
	}
	return true
}

// longestLooked is the length of text from which the expression is run at once, bytes: a long text lacks little, and one that is gone through match
// by match would be looked through to its end at each.
const longestLooked = 1024

// lacks tells whether s lacks what every match needs.
func (r *Regexp) lacks(s string) bool {
	if len(r.needs) == 0 || len(s) > longestLooked {
		return false
	}
	var has bytesOf
	for i := range len(s) {
		has.add(s[i])
	}
	return !met(r.needs, &has)
}
