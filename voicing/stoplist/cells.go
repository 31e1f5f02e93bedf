package stoplist

import (
	"slices"
	"strings"
	"unicode"
)

// A table that is copied from a page may come with a cell to a line, each with a bar behind it: "Principal |", "8' |", "|". Where a row ends is
// not in the text; it shows from what stands in the columns.

// barred is a cell of such a table.
type barred struct {
	line int // index
	text string
}

// barredTable puts the rows of a table together that has a cell to a line and a bar behind each.
func barredTable(lines []string) []string {
	out := slices.Clone(lines)
	for i := 0; i < len(lines); {
		run := barredRun(lines, i)
		if len(run) < 8 {
			i += max(1, len(run))
			continue
		}
		i = run[len(run)-1].line + 1
		head, heads := headingCells(run)
		if len(heads) < 2 {
			oneColumn(out, run)
			continue
		}
		from, wide := barredRows(run[head:], len(heads))
		if wide == 0 {
			oneColumn(out, run)
			continue
		}
		for _, c := range run {
			out[c.line] = c.text
		}
		for _, h := range heads {
			out[h.line] = ""
		}
		row := make([]string, len(heads))
		for k, h := range heads {
			row[k] = h.text
		}
		out[heads[0].line] = strings.Join(row, "\t")
		cells := run[head+from:]
		counted := countColumns(cells, wide, len(heads))
		for ; len(cells) > 0; cells = cells[min(wide, len(cells)):] {
			group := cells[:min(wide, len(cells))]
			if slices.ContainsFunc(group, func(c barred) bool { return len(strings.Fields(c.text)) > 6 }) {
				break
			}
			for k := range row {
				row[k] = ""
			}
			for k, c := range group {
				out[c.line] = ""
				if !counted[k] {
					row[k*len(row)/wide] += " " + c.text
				}
			}
			if text := strings.Join(row, "\t"); strings.TrimSpace(text) != "" {
				out[group[0].line] = text
			}
		}
	}
	return out
}

// oneColumn puts the rows of a table together that has the stops of all divisions below each other, headings and counts in cells of their own.
func oneColumn(out []string, run []barred) {
	const enough = 0.8 // headings stand in cells of any kind
	best, from, wide := enough, 0, 0
	for w := 2; w <= 6; w++ {
		for first := range w {
			if first+4*w > len(run) {
				continue
			}
			if share := alike(run[first:], w, w); share > best+1e-9 {
				best, from, wide = share, first, w
			}
		}
	}
	if wide == 0 {
		return
	}
	cells := run[from:]
	counted := countColumns(cells, wide, 1)
	for ; len(cells) > 0; cells = cells[min(wide, len(cells)):] {
		var row []string
		for k, c := range cells[:min(wide, len(cells))] {
			out[c.line] = ""
			if c.text != "" && !(counted[k] && onlyNumber.MatchString(strings.TrimRight(c.text, ".)"))) {
				row = append(row, c.text)
			}
		}
		out[cells[0].line] = strings.Join(row, " ")
	}
}

// barredRun is the cells of the lines from line i on that end with a bar and have no other; a line without a bar is a cell too where it is a
// count, which pages print without one.
func barredRun(lines []string, i int) (run []barred) {
	for ; i < len(lines); i++ {
		text := strings.TrimSpace(tidy(lines[i]))
		cell, bar := strings.CutSuffix(text, "|")
		if !bar && i+1 < len(lines) && strings.TrimSpace(lines[i+1]) == "|" { // the bar of a heading may stand on the next line
			if _, ok := heading(text); ok {
				run = append(run, barred{i, text})
				i++
				continue
			}
		}
		if cell = strings.TrimSpace(cell); !bar && text != "" || strings.Contains(cell, "|") {
			break
		}
		if bar {
			run = append(run, barred{i, cell})
		}
	}
	return run
}

// headingCells are the headings of divisions that stand one after the other, with nothing but empty cells between them; head is the index of the
// cell behind the last.
func headingCells(run []barred) (head int, heads []barred) {
	for i, c := range run {
		if c.text == "" {
			continue
		}
		if _, ok := heading(c.text); ok {
			heads, head = append(heads, c), i+1
			continue
		}
		if len(heads) > 1 {
			return head, heads
		}
		heads = nil
	}
	return 0, nil
}

// barredRows finds how many cells a row has, one to four for each division, and how many stand between the headings and the first row: so that each
// column holds cells of one kind. wide is 0 where none does.
func barredRows(cells []barred, divisions int) (from, wide int) {
	const enough = 0.9 // of the cells are of their column's kind
	best := enough
	for each := 4; each >= 1; each-- {
		for first := range each {
			n := divisions * each
			if first+2*n > len(cells) {
				continue
			}
			if share := alike(cells[first:], n, each); share > best+1e-9 {
				best, from, wide = share, first, n
			}
		}
	}
	return from, wide
}

// alike is the share of the cells that are of their column's kind, where each division has its columns in the same order and one of names; a
// name whose size stands in another row counts against it.
func alike(cells []barred, wide, each int) float64 {
	counts := make([][2]int, each) // names, sizes
	var group [2]int
	all, torn := 0, 0
	for i, c := range cells {
		if len(strings.Fields(c.text)) > 6 { // remarks below the table
			break
		}
		k := i % wide % each
		if k == 0 {
			group = [2]int{}
		}
		if c.text != "" {
			kind := 1
			if unicode.IsLetter([]rune(c.text)[0]) {
				kind = 0
			}
			counts[k][kind]++
			group[kind]++
			all++
		}
		if k == each-1 && each > 1 && (group[0] > 0) != (group[1] > 0) {
			torn++
		}
	}
	same, names := 0, 0
	for _, n := range counts {
		same += max(n[0], n[1])
		if n[0] > n[1] {
			names++
		}
	}
	if names != 1 || all == 0 {
		return 0
	}
	return float64(same-torn) / float64(all)
}

// countColumns are the columns of a row that count the stops: whole numbers, each one more than the one above.
func countColumns(cells []barred, wide, divisions int) []bool {
	counts := make([]bool, wide)
	for k := range counts {
		steps, last, other := 0, 0, false
		for i := k; i < len(cells); i += wide {
			text := strings.TrimRight(cells[i].text, ".)")
			if text == "" {
				continue
			}
			if !onlyNumber.MatchString(text) {
				other = other || unicode.IsLetter([]rune(text)[0])
				continue
			}
			if n := atoi(text); n == last+1 {
				steps++
				last = n
			} else {
				last = n
			}
		}
		counts[k] = steps >= 2 && !other && wide > divisions
	}
	return counts
}
