package stoplist

import "strings"

// A table may name the division of each stop in a cell of its row: "5 | Gedackt | 8' | OW".

// divisionOf is the division that a cell names, and nothing else.
func divisionOf(cell string) (d Division, ok bool) {
	cell = strings.TrimSpace(cell)
	if cell == "" || len(cell) > 24 || known(cell) && refOf(cell).role == "" {
		return d, false
	}
	d, ok = heading(cell)
	return d, ok && d.Role != ""
}

// namesDivisionsInCells tells whether the rows of a table do so: some division stands behind several stops.
func namesDivisionsInCells(lines []string) bool {
	rows := map[string]int{}
	for _, line := range lines {
		line = strings.ReplaceAll(tidy(line), "|", "\t")
		cells := strings.Split(line, "\t")
		if len(cells) < 3 || len(line) > 200 || !printsFeet(line) {
			continue
		}
		for i, c := range cells {
			if _, ok := divisionOf(c); ok && i > 0 && strings.Trim(strings.Join(cells[:i], ""), " \t") != "" {
				rows[plain(c)]++
			}
		}
	}
	for _, n := range rows {
		if n > 1 && len(rows) < 8 {
			return true
		}
	}
	return false
}

// inItsDivision goes on in the division that a cell of the row names, and is the row without that cell.
func (r *reader) inItsDivision(list []cell) []cell {
	if len(r.columns) > 1 || len(list) < 2 || !printsFeet(list[0].text) && (len(list) < 3 || !printsFeet(list[1].text)) {
		return list
	}
	for i, c := range list[1:] {
		d, ok := divisionOf(c.text)
		if !ok {
			continue
		}
		before := len(r.list.Divisions)
		r.current, r.section = r.open(d), inStops
		if len(r.list.Divisions) > before {
			r.say(IsHeading, r.headingText(r.current), "")
		}
		return append(append([]cell{}, list[:i+1]...), list[i+2:]...)
	}
	return list
}
