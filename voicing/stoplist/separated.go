package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// A table that a spreadsheet saved as text has semicolons or commas between its cells, as many in each row.

var (
	quotedCell  = lazyregexp.New(`"([^"]*)"`)
	separatedBy = []string{";", ","}
)

// leastRows is the number of rows from which lines are such a table.
const leastRows = 4

// separatedTable writes tabs between the cells of such tables.
func separatedTable(lines []string) []string {
	out := slices.Clone(lines)
	for from := 0; from < len(lines); {
		sign, to := separatedRows(lines, from)
		for i := from; sign != "" && i < to; i++ {
			out[i] = strings.Join(separatedCells(lines[i], sign), "\t")
		}
		from = to
	}
	return out
}

// separatedRows are the lines from from to to that have the same number of cells by a sign; "" and the next line where they are no table.
func separatedRows(lines []string, from int) (sign string, to int) {
	for _, s := range separatedBy {
		n := len(separatedCells(lines[from], s))
		if n < 2 || s == "," && (n < 3 || strings.Contains(lines[from], ", ")) {
			continue
		}
		sized := 0
		for to = from; to < len(lines); to++ {
			cells := separatedCells(lines[to], s)
			if len(cells) != n || slices.ContainsFunc(cells, func(c string) bool { return len(strings.Fields(c)) > 8 }) {
				break
			}
			if slices.ContainsFunc(cells, onlyLength) {
				sized++
			}
		}
		if to-from >= leastRows && sized*2 > to-from {
			return s, to
		}
	}
	return "", from + 1
}

func separatedCells(line, sign string) []string {
	if !strings.Contains(line, sign) || len(line) > 400 {
		return nil
	}
	line = quotedCell.ReplaceAllString(strings.TrimRight(line, "\r"), "$1")
	cells := strings.Split(line, sign)
	for i, c := range cells {
		cells[i] = strings.TrimSpace(c)
	}
	return cells
}
