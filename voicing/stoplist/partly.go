package stoplist

import (
	"fmt"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// partInBox says by their numbers which stops of a division stand in a swell box: "GREAT (1-7 enclosed)", "(Nr. 8-14 schwellbar)".
var partInBox = lazyregexp.New(`(?i)^(.*?)[ (\[,;:–-]*(?:stops |nos?\.? |nr\.? |register )?\b(\d{1,2}) ?(?:-|–|to|bis) ?(\d{1,2}) (?:are )?(?:enclosed|in (?:a |the )?(?:swell )?box|schwellbar|im schwell\w*|expressifs?|espressivi)[)\] .:]*$`)

// partOf takes what a heading, or the line under it, says of the part of its stops that stands in a box off the line; the rest is
// a heading as any other, or nothing.
func (r *reader) partOf(line string) string {
	r.nextInBox = part{}
	m := partInBox.FindStringSubmatch(line)
	if m == nil {
		return line
	}
	inBox := part{first: atoi(m[2]), last: atoi(m[3])}
	if inBox.last < inBox.first {
		return line
	}
	head := strings.TrimSpace(m[1])
	switch d, ok := heading(head); {
	case head == "" && r.current >= 0:
		r.list.Divisions[r.current].inBox = inBox
		r.say(IsFact, r.list.Divisions[r.current].Name+": "+inBox.text(), "")
	case ok && (d.Role != "" || d.Number > 0):
		r.nextInBox = inBox
		return head
	default:
		return line
	}
	return ""
}

// part is the part of a division's stops that a list names by their numbers; last is 0 for none.
type part struct{ first, last int }

func (p part) text() string { return fmt.Sprintf("stops %d-%d in a swell box", p.first, p.last) }

// partsInBoxes puts a division whole into its box, or out of it, as most of its stops stand: a description has no part of one.
func (l *List) partsInBoxes() {
	for i := range l.Divisions {
		d := &l.Divisions[i]
		n := d.inBox.last - d.inBox.first + 1
		if d.inBox.last == 0 || n >= len(d.Stops) {
			d.Enclosed = d.Enclosed || d.inBox.last > 0
			continue
		}
		d.Enclosed = 2*n >= len(d.Stops)
		all := "here none does"
		if d.Enclosed {
			all = "here all do"
		}
		l.Assumed = append(l.Assumed, fmt.Sprintf("of %s only the stops %d-%d stand in a swell box: %s", d.Name, d.inBox.first, d.inBox.last, all))
	}
}
