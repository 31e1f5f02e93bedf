package stoplist

import (
	"flag"
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
	"afterchord/voicing"
)

// printedStop is a stop as a list prints it.
type printedStop struct{ name, length, ranks string }

func (s printedStop) String() string { return strings.TrimSpace(s.name + " " + s.size()) }

func (s printedStop) size() string {
	if s.length != "" && s.ranks != "" {
		return s.ranks + " " + s.length + "'"
	}
	if s.length != "" {
		return s.length + "'"
	}
	return s.ranks
}

func (s printedStop) bare() string { return strings.ReplaceAll(s.String(), "'", "") }

// first is the stop with its length before its name.
func (s printedStop) first() string { return strings.TrimSpace(s.size() + " " + s.name) }

type printedDivision struct {
	name  string
	stops []printedStop
}

// printed is what a list says: its divisions with the stops that go through the whole compass.
func printed(l *List) []printedDivision {
	var out []printedDivision
	for _, d := range l.Divisions {
		if d.Role == "" && d.Number == 0 || len(d.Stops) < 2 {
			continue
		}
		p := printedDivision{name: d.Name}
		for _, s := range d.Stops {
			if s.LowKey > 0 || s.HighKey > 0 || s.Ranks > 1 && s.Kind.Compound == "" {
				continue
			}
			t := printedStop{name: s.Name}
			if s.Kind.Compound != "" {
				t.ranks = []string{"", "I", "II", "III", "IV", "V", "VI", "VII", "VIII", "IX", "X"}[min(s.Ranks, 10)]
			} else {
				t.length = voicing.FeetText(s.Feet)
			}
			p.stops = append(p.stops, t)
		}
		out = append(out, p)
	}
	return out
}

// rowsOf are the stops side by side: row i has the i-th stop of each division that has one.
func rowsOf(list []printedDivision, cell func(d int, s *printedStop) string) [][]string {
	var out [][]string
	for i := 0; ; i++ {
		var row []string
		any := false
		for d := range list {
			if i < len(list[d].stops) {
				row, any = append(row, cell(d, &list[d].stops[i])), true
			} else {
				row = append(row, cell(d, nil))
			}
		}
		if !any {
			return out
		}
		out = append(out, row)
	}
}

func names(list []printedDivision) []string {
	var out []string
	for _, d := range list {
		out = append(out, d.name)
	}
	return out
}

func aligned(rows [][]string) string {
	var b strings.Builder
	width := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, c := range row {
			width[i] = max(width[i], len([]rune(c))+4)
		}
	}
	for _, row := range rows {
		line := ""
		for i, c := range row {
			line += c + strings.Repeat(" ", width[i]-len([]rune(c)))
		}
		b.WriteString(strings.TrimRight(line, " ") + "\n")
	}
	return b.String()
}

func joined(rows [][]string, sep string) string {
	var b strings.Builder
	for _, row := range rows {
		b.WriteString(strings.Join(row, sep) + "\n")
	}
	return b.String()
}

func each(list []printedDivision, head func(printedDivision) string, stop func(n int, s printedStop) string, between, after string) string {
	var b strings.Builder
	n := 0
	for _, d := range list {
		b.WriteString(head(d))
		var parts []string
		for _, s := range d.stops {
			n++
			parts = append(parts, stop(n, s))
		}
		b.WriteString(strings.Join(parts, between) + after)
	}
	return b.String()
}

func text(_ int, s printedStop) string { return s.String() }

func cellText(_ int, s *printedStop) string {
	if s == nil {
		return ""
	}
	return s.String()
}

// layouts are the ways in which lists are printed.
var layouts = []struct {
	name  string
	print func([]printedDivision) string
}{
	{"a line each", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + "\n" }, text, "\n", "\n\n")
	}},
	{"lines numbered with a full stop", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + ":\n" }, func(n int, s printedStop) string { return fmt.Sprintf("%d. %s", n, s) }, "\n", "\n")
	}},
	{"lines numbered, bare lengths", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + "\n" }, func(n int, s printedStop) string { return fmt.Sprintf("%d %s", n, s.bare()) }, "\n", "\n")
	}},
	{"lengths first", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + "\n" }, func(_ int, s printedStop) string { return s.first() }, "\n", "\n")
	}},
	{"leaders of dots", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return strings.ToUpper(d.name) + "\n" }, func(_ int, s printedStop) string {
			return s.name + " ............ " + s.size()
		}, "\n", "\n")
	}},
	{"headings with counts, pipes", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string {
			return fmt.Sprintf("%s (%d stops)\n", strings.ToUpper(d.name), len(d.stops))
		}, func(_ int, s printedStop) string { return s.String() + " 61 pipes" }, "\n", "\n")
	}},
	{"bullets", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return "## " + d.name + "\n" }, func(_ int, s printedStop) string { return "- " + s.String() }, "\n", "\n")
	}},
	{"columns", func(l []printedDivision) string {
		return aligned(append([][]string{names(l)}, rowsOf(l, cellText)...))
	}},
	{"columns, lengths first", func(l []printedDivision) string {
		return aligned(append([][]string{names(l)}, rowsOf(l, func(_ int, s *printedStop) string {
			if s == nil {
				return ""
			}
			return s.first()
		})...))
	}},
	{"tabs", func(l []printedDivision) string {
		return joined(append([][]string{names(l)}, rowsOf(l, cellText)...), "\t")
	}},
	{"table", func(l []printedDivision) string {
		return joined(append([][]string{names(l)}, rowsOf(l, cellText)...), " | ")
	}},
	{"table with lengths apart", func(l []printedDivision) string {
		head := names(l)
		for i := range head {
			head[i] += " |"
		}
		return joined(append([][]string{head}, rowsOf(l, func(_ int, s *printedStop) string {
			if s == nil {
				return " | "
			}
			return s.name + " | " + s.size()
		})...), " | ")
	}},
	{"commas", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + ": " }, text, ", ", ".\n")
	}},
	{"commas, lengths first", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + ": " }, func(_ int, s printedStop) string { return s.first() }, ", ", "\n")
	}},
	{"one paragraph", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + ": " }, text, ", ", ". ")
	}},
	{"semicolons in one paragraph", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + " - " }, text, "; ", ". ")
	}},
	{"slashes", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + ": " }, text, " / ", "\n")
	}},
	{"dashes", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + "\n" }, text, " - ", "\n")
	}},
	{"one row of words with numbers", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return strings.ToUpper(d.name) + " " }, func(n int, s printedStop) string {
			return fmt.Sprintf("%d %s 56", n, s.bare())
		}, " ", " ")
	}},
	{"one row of words", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return strings.ToUpper(d.name) + " " }, text, " ", " ")
	}},
	{"one row in plain letters", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + " " }, text, " ", " ")
	}},
	{"one row, counted, bare lengths", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + " " }, func(n int, s printedStop) string { return fmt.Sprintf("%d %s", n, s.bare()) }, " ", " ")
	}},
	{"one row, lengths first", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + " " }, func(_ int, s printedStop) string { return s.first() }, " ", " ")
	}},
	{"one row, pipes", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + " " }, func(_ int, s printedStop) string { return s.String() + " 61 pipes" }, " ", " ")
	}},
	{"one row, bullets", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + " • " }, text, " • ", " ")
	}},
	{"one row between prose", func(l []printedDivision) string {
		return "The organ was built in 1890 by a builder of the town and stands in the west gallery. " + each(l, func(d printedDivision) string { return d.name + " " }, text, " ", " ") +
			"The action is mechanical and an electric blower raises the wind. Services are held on Sunday at 10.30. All are welcome."
	}},
	{"a cell a line", func(l []printedDivision) string {
		return each(l, func(d printedDivision) string { return d.name + "\n" }, func(_ int, s printedStop) string { return s.name + "\n" + s.size() }, "\n", "\n")
	}},
}

// sameStops counts the stops of want that are in got: in the same division, with the same name, length and ranks.
func sameStops(want, got []printedDivision) (same, all int) {
	for _, w := range want {
		var of []printedStop
		for _, g := range got {
			if fold(g.name) == fold(w.name) {
				of = append(of, g.stops...)
			}
		}
		for _, s := range w.stops {
			all++
			if slices.ContainsFunc(of, func(x printedStop) bool { return fold(x.name) == fold(s.name) && x.size() == s.size() }) {
				same++
			}
		}
	}
	return same, all
}

var everyList = flag.Bool("every", false, "take every list in every layout and make an organ of each, not of some")

// A list is read alike however it is laid out. The stops of printed lists are printed again in each layout.
func TestLayoutDoesNotMatter(t *testing.T) {
	right, all := 0, 0
	printedLists := lists(t)
	every := longtest.Of(60, 15) // each list in every so many layouts
	for i, layout := range layouts {
		r, a := 0, 0
		for j, name := range slices.Sorted(maps.Keys(printedLists)) {
			if j%every != i%every && !*everyList {
				continue
			}
			source := printedLists[name]
			want := printed(Read(source))
			if len(want) < 2 {
				continue
			}
			again := layout.print(want)
			same, of := sameStops(want, printed(Read(again)))
			if same < of*9/10 {
				t.Logf("%s, %s: %d of %d", layout.name, name, same, of)
			}
			r, a = r+same, a+of
		}
		t.Logf("%-32s %4d of %4d, %.1f %%", layout.name, r, a, 100*float64(r)/float64(a))
		right, all = right+r, all+a
	}
	require.GreaterOrEqual(t, float64(right), 0.97*float64(all), "%d of %d", right, all)
}

// A French page in one line ends with its couplers, what calls the reeds, and the tremulant: each is read by itself.
func TestCouplersAndTremulantAtTheEndOfAPage(t *testing.T) {
	const stops = "Grand-Orgue : Montre 8, Bourdon 8, Prestant 4, Trompette 8. Positif : Bourdon 8, Flûte 4. Récit : Gambe 8, Voix céleste 8, Flûte 4. Pédale : Soubasse 16, Flûte 8. "
	for text, want := range map[string][]string{
		"Tirasse G.O. Tirasse Récit. Accouplement Pos/G.O. Appel anches G.O. Appel anches Récit Trémolo Récit":                     {"Grand-Orgue to Pédale", "Récit to Pédale", "Positif to Grand-Orgue"},
		"Accouplement à tiroir Pos/GO. Tirasses GO, Pos, Réc. Appel anches G.O. Appel mixtures G.O. Forte général. Trémolo Récit.": {"Positif to Grand-Orgue", "Grand-Orgue to Pédale", "Positif to Pédale", "Récit to Pédale"},
		"Accessoires Tirasse G.O. Tirasse Récit Accouplement à tiroir Pos/GO Appel anches G.O. Appel anches Récit Trémolo Récit":   {"Grand-Orgue to Pédale", "Récit to Pédale", "Positif to Grand-Orgue"},
		"Accouplements Pos/GO, Réc/GO, Réc/Pos Tirasses GO, Pos Appel anches G.O. Trémolo Récit":                                   {"Positif to Grand-Orgue", "Récit to Grand-Orgue", "Récit to Positif", "Grand-Orgue to Pédale", "Positif to Pédale"},
	} {
		l := Read(stops + text + "\n")
		require.Len(t, l.Divisions, 4, text)
		var got []string
		for _, c := range l.Couplers {
			got = append(got, l.couplerName(c))
			require.Empty(t, c.Assumed, text)
		}
		require.ElementsMatch(t, want, got, text)
		require.True(t, l.Divisions[2].Tremulant, text)
		require.Empty(t, l.Unread(), text)
	}
}
