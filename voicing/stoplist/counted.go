package stoplist

import (
	"slices"
	"strings"

	"afterchord/acoustics/lazyregexp"
)

// A table whose cells stand on lines of their own, its stops counted: "1." "Prinzipal 8'" "10." "Holzgedackt 8'" "18." "Subbass 16'". The
// counts of each division follow each other, so that they tell in which column a stop stands.

var (
	countAlone = lazyregexp.New(`^(\d{1,3})[.)]?$`)
	countFirst = lazyregexp.New(`^(\d{1,3})[.)] +(\pL.*)$`)
)

// countedTable puts the stops of such a table under the headings that stand one after the other before it.
func countedTable(lines []string) []string {
	var cells []barred
	for i, l := range lines {
		if text := strings.TrimSpace(tidy(l)); text != "" {
			cells = append(cells, barred{i, text})
		}
	}
	for at := range cells {
		heads := 0
		for at+heads < len(cells) {
			if d, ok := heading(cells[at+heads].text); !ok || d.Role == "" {
				break
			}
			heads++
		}
		if heads < 2 {
			continue
		}
		if out := underHeads(lines, cells[at:at+heads], cells[at+heads:]); out != nil {
			return out
		}
	}
	return lines
}

// underHeads puts counted stops under their headings, a row to each; nil where they are not counted by columns.
func underHeads(lines []string, heads, cells []barred) []string {
	type counted struct {
		count      int
		name       string
		line, last int // where its count stands, and its name
	}
	var stops []counted
	for i := 0; i < len(cells); i++ {
		c := cells[i]
		if m := countFirst.FindStringSubmatch(c.text); m != nil {
			stops = append(stops, counted{atoi(m[1]), m[2], c.line, c.line})
			continue
		}
		m := countAlone.FindStringSubmatch(c.text)
		if m == nil || i+1 == len(cells) || countAlone.MatchString(cells[i+1].text) {
			break
		}
		i++
		stops = append(stops, counted{atoi(m[1]), cells[i].text, c.line, cells[i].line})
	}
	n := len(heads)
	if len(stops) < 2*n {
		return nil
	}
	firsts := make([]int, n)
	for k := range heads {
		firsts[k] = stops[k].count
		if stops[n+k].count != firsts[k]+1 && stops[n+k].count != firsts[(k+1)%n]+1 || k > 0 && firsts[k] <= firsts[k-1]+1 {
			return nil
		}
	}
	out := slices.Clone(lines)
	row := make([]string, n)
	for k, h := range heads {
		row[k], out[h.line] = h.text, ""
	}
	out[heads[0].line] = strings.Join(row, "\t")
	for _, s := range stops {
		for k := range row {
			row[k] = ""
		}
		k := n - 1
		for k > 0 && s.count < firsts[k] {
			k--
		}
		row[k] = s.name
		out[s.line], out[s.last] = "", strings.Join(row, "\t")
	}
	return out
}

// countOfThings is how many manuals, stops or ranks an organ has: "II Manuale und Pedal", "3 Transmissionen".
var countOfThings = lazyregexp.New(`^(?:\d{1,5}|[ivx]{1,4}|ein|eine|zwei|drei|vier|funf|sechs|two|three|four|deux|trois|quatre|due|tre|twee|drie) (?:\pL+ )?(?:manuale?n?|klaviaturen|klaviere|register|reg\.?|stimmen|transmission(?:en|s)?|auszuge?|vorabzuge?|vorauszuge?|extension(?:en|s)?|pfeifenreihen|reihen|pfeifen|nebenzuge?|nebenregister|effektregister|wechselschleifen?|spielhilfen|manuals|stops|ranks|pipes|claviers|jeux|rangs|tuyaux|tastiere|registri|canne|stemmen|klavieren|rangen|pijpen)(?: (?:und|mit|and|et|e|en|\+|&) (?:\pL+ )?(?:pedal|pedals|pedale|pedalier|pedaliera|pedaal))?$`)

// countsOnly tells whether a line, without case and accents, does nothing but count what the organ has.
func countsOnly(low string) bool {
	parts := splitList(strings.Trim(low, " .:"))
	for _, p := range parts {
		if !countOfThings.MatchString(p) {
			return false
		}
	}
	return len(parts) > 1
}
