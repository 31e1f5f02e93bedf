package stoplist

import (
	"strings"
)

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
		for together(x) && j < len(way) && way[j].to == x.to && together(way[j]) && !(x.to == inCoupled && way[j].as == IsCoupler) && !(x.to != inProse && p.opensCoupler(way[j].from)) {
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
