package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// A list may print no headings at all: its divisions are then the columns that stand side by side and the blocks between empty lines.

// block is a run of lines without an empty one.
type block struct {
	from, to int // lines, from 0; to is the line behind the last
	columns  int // stops in most of its lines, side by side
}

// unheadedBlocks are the blocks of a list that has no headings, where there is more than one or their stops stand in columns; nil for any
// other list.
func (r *reader) unheadedBlocks(lines []string) []block {
	last := len(lines) - 1
	for last >= 0 && r.stopCells(tidy(lines[last])) == 0 {
		last--
	}
	var blocks []block
	at := -1
	for i := 0; i <= len(lines); i++ {
		if i < len(lines) && strings.TrimSpace(tidy(lines[i])) != "" {
			if i < last && r.hasHeading(tidy(lines[i])) && !r.onlyKeys(i) { // behind the last stop it heads none
				return nil
			}
			if at < 0 {
				at = i
			}
			continue
		}
		if at >= 0 {
			blocks = append(blocks, block{from: at, to: i})
			at = -1
		}
	}
	var kept []block
	columns := 0
	for _, b := range blocks {
		count := map[int]int{}
		for _, line := range lines[b.from:b.to] {
			if n := r.stopCells(tidy(line)); n > 0 {
				count[n]++
			}
		}
		all := 0
		for n, times := range count {
			all += times
			if times > count[b.columns] || times == count[b.columns] && n > b.columns {
				b.columns = n
			}
		}
		if all >= 2 && all*2 > b.to-b.from {
			kept = append(kept, b)
			columns = max(columns, b.columns)
		}
	}
	if len(kept) < 2 && columns < 2 || len(kept) > 5 || columns < 2 && r.oneManual() {
		return nil
	}
	return kept
}

// oneManual tells whether a list in its language has one manual where it heads none: old Italian and Spanish organs, whose pedal stops stand among
// those of the manual.
func (r *reader) oneManual() bool { return r.list.Language == "it" || r.list.Language == "es" }

func (r *reader) hasHeading(line string) bool {
	text := strings.TrimSpace(line)
	if cells, table := r.cells(line); table || len(cells) > 1 {
		for _, c := range cells {
			if d, ok := heading(stripBullet(c.text)); ok && (d.Role != "" || d.Number > 0) {
				return true
			}
		}
	}
	if _, ok := heading(stripBullet(text)); ok || splitHeadings(text) != nil || len(runOn(line)) > 1 {
		return true
	}
	if label, _, found := strings.Cut(text, ":"); found {
		if _, ok := heading(label); ok {
			return true
		}
	}
	words := strings.Fields(text)
	for n := min(3, len(words)-1); n > 0; n-- {
		if d, ok := heading(strings.Join(words[:n], " ")); ok && d.Role != "" && !looksLikeCoupler(text) && !known(strings.Join(words[:n], " ")) {
			return true
		}
	}
	return false
}

// firstCount is the line of a stop that is counted as the first.
var firstCount = lazyregexp.New(`^\s*1[.)]\s+\pL`)

// keysOfAll is what is said of the compass of the manuals.
var keysOfAll = lazyregexp.New(`(?i)^(?:(?:ton|klaviatur)?umf[aä]ng\pL*:? |manual|clavier|klavier|tastier|teclad|keyboard)`)

// onlyKeys tells whether the line i, "Pedal C-f1", says what keys there are and heads no stops: the line before says it of the manuals, and
// behind it no stop of a pedal follows.
func (r *reader) onlyKeys(i int) bool {
	d, ok := heading(stripBullet(tidy(r.lines[i])))
	if !ok || !d.Pedal || d.HighKey == 0 || r.anyStops() {
		return false
	}
	before := r.neighbour(i, -1)
	if _, _, _, _, keys := findCompass(before, false); !keys || !keysOfAll.MatchString(before) {
		return false
	}
	if h, ok := heading(before); ok && (h.Role != "" || h.Number > 0 && romanOnly.MatchString(strings.Fields(before)[0])) {
		return false
	}
	found, _ := r.stopsIn(stripBullet(r.neighbour(i, 1)), true)
	return len(found) == 0 || !found[0].Kind.Bass && found[0].Feet < 16
}

// neighbour is the nearest line that is not empty, step by step from line i; "" where there is none.
func (r *reader) neighbour(i, step int) string {
	for i += step; i >= 0 && i < len(r.lines); i += step {
		if line := strings.TrimSpace(tidy(r.lines[i])); line != "" {
			return line
		}
	}
	return ""
}

// pedalBlock opens a pedal that no heading stands over, at the first of its stops: one that only pedals have, behind an empty line or where the
// count begins again, in a list that heads no pedal. Italian and Spanish lists mix them with those of the manual.
func (r *reader) pedalBlock(first *foundStop) {
	if r.oneManual() || !r.afterBreak || !first.Kind.Bass || r.pedalHeading || r.inPedal() || r.current < 0 || len(r.list.Divisions[r.current].Stops) < 2 || len(r.columns) > 1 {
		return
	}
	r.current = r.open(Division{Name: "Pedal", Role: "pedal", Pedal: true})
	r.pedalHeading = true
	r.say(IsHeading, "Pedal", "no heading is printed: taken as the pedal for its stops")
}

// stopCells is the number of cells of a line that are each one stop with its length.
func (r *reader) stopCells(line string) int {
	cells, _ := r.cells(line)
	n := 0
	for _, c := range cells {
		if s, left := r.stopsIn(stripBullet(c.text), false); len(s) == 1 && len(left) == 0 && s[0].how <= bySpelling && len(s[0].grouped) > 0 {
			n++
		}
	}
	return n
}

// rolesByCouplers are the manuals that the list's couplers name, the main one first.
func (r *reader) rolesByCouplers(lines []string) []string {
	var roles []string
	for _, line := range lines {
		cells, _ := r.cells(tidy(line))
		for _, c := range cells {
			a, b, _, ok := pairOf(c.text)
			if !ok {
				continue
			}
			for _, x := range []ref{b, a} {
				if x.role != "" && x.role != "pedal" && !slices.Contains(roles, x.role) {
					roles = append(roles, x.role)
				}
			}
		}
	}
	return roles
}

// spansOfFeet are the lengths of a text.
func spansOfFeet(text string) []span {
	return slices.DeleteFunc(spans(text), func(s span) bool { return s.feet == 0 })
}

var roleName = map[string]string{"great": "Great", "swell": "Swell", "choir": "Choir", "positive": "Positive", "solo": "Solo", "echo": "Echo", "bombarde": "Bombarde", "upper": "Oberwerk", "breast": "Brustwerk"}

// openBlock opens the divisions of a block without headings at its first line.
func (r *reader) openBlock(b block) {
	line := &r.list.Lines[len(r.list.Lines)-1]
	cells, _ := r.cells(tidy(line.Text))
	if first, _ := r.stopsIn(stripBullet(cells[0].text), true); b.columns == 1 && len(first) > 0 && r.anyStops() && (first[0].Kind.Bass || first[0].Feet > 16) {
		r.current = r.open(Division{Name: "Pedal", Role: "pedal", Pedal: true})
		r.pedalHeading = true
		r.say(IsHeading, "Pedal", "no heading is printed: taken as the pedal for its stops")
		r.section, r.columns = inStops, nil
		return
	}
	r.section, r.columns = inStops, nil
	for i := range b.columns {
		d := Division{Name: manualName(r.unheaded + 1), Number: r.unheaded + 1}
		if r.unheaded < len(r.byCouplers) {
			d = Division{Name: roleName[r.byCouplers[r.unheaded]], Role: r.byCouplers[r.unheaded]}
		}
		r.unheaded++
		n := r.open(d)
		r.say(IsHeading, r.headingText(n), "no heading is printed: taken as a division for where its stops stand")
		if b.columns > 1 && i < len(cells) {
			r.columns = append(r.columns, column{division: n, cell: i, offset: cells[i].offset})
		}
		if i == 0 {
			r.current = n
		}
	}
}

func manualName(number int) string { return titled(Division{Number: number}, "") }
