package stoplist

import (
	"cmp"
	"flag"
	"fmt"
	"hash/fnv"
	"maps"
	"path"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
)

var (
	everyList  = flag.Bool("every", false, "take every list in every layout and make an organ of each, not of some")
	oneLayout  = flag.String("layout", "", "print lists in this layout alone (\"one line*\": in these), and what is read otherwise")
	sampleSize = flag.Int("sample", 0, "lists to a layout")
)

// usualFloor is the percentage of what a list says that is read from each layout; floors are those of layouts that are not there yet. Both only rise.
const usualFloor = 97.0

var floors = map[string]float64{
	"Head, below a b": 91, "a cell a line, beside": 48, "one line, plain heads": 95, "one line, bullets": 96, "one line, length first": 88, "one line between prose": 91,
}

// middling are the lists that the quick test draws from, of all languages: 18 to 37 stops with couplers. A list that is added changes nothing of what floors mean.
var middling = []string{"anselm", "badlausick", "bampton", "cadernera", "crema", "dutch-van-dam", "edgewater", "estavayer", "falkenberg", "farvagny", "fontclaire", "koeniz", "mascioni1935", "munkebjerg", "noordwolde", "romantico"}

// drawn are lists in the order in which a layout draws them, the same whatever other lists there are.
func drawn(layout string, lists []string) []string {
	lot := func(list string) uint32 {
		h := fnv.New32a()
		h.Write([]byte(layout + "/" + list))
		return h.Sum32()
	}
	return slices.SortedFunc(slices.Values(lists), func(a, b string) int { return cmp.Compare(lot(a), lot(b)) })
}

// A list is read alike however it is laid out. What printed lists say is printed again in each layout, in the words of their language: each keeps its floor.
func TestLayoutDoesNotMatter(t *testing.T) {
	printedLists := lists(t)
	want, pool := longtest.Of(2, 60), middling // lists to a layout, of these
	if *everyList {
		want = len(printedLists)
	}
	want = cmp.Or(*sampleSize, want)
	if want > len(middling) {
		pool = slices.Collect(maps.Keys(printedLists))
	}
	sheets := map[string]sheet{}
	for _, name := range pool {
		if s := sheetOf(Read(printedLists[name])); len(s.divisions) > 1 {
			sheets[name] = s.plainly()
		}
	}
	languages := []string{"en", "de", "fr", "it", "es", "nl", "sv"}
	var all score
	t.Logf("%-32s %6s %6s %6s %5s   %v", "of 100", "stops", "coupl.", "facts", "more", languages)
	for _, layout := range layouts {
		if meant, err := path.Match(*oneLayout, layout.name); err != nil || *oneLayout != "" && !meant {
			continue
		}
		var sum score
		by := map[string]*score{}
		names := drawn(layout.name, slices.Collect(maps.Keys(sheets)))
		for _, name := range names[:min(want, len(names))] {
			s := sheets[name]
			text := layout.print(s)
			var missed []string
			x := s.compare(Read(text), layout.asks, func(m string) { missed = append(missed, m) })
			sum.add(x)
			if by[s.lang] == nil {
				by[s.lang] = &score{}
			}
			by[s.lang].add(x)
			if *oneLayout != "" && len(missed) > 0 {
				t.Logf("%s (%s):\n  %s", name, s.lang, strings.Join(missed, "\n  "))
				if *sampleSize == 1 {
					t.Log(text)
				}
			}
		}
		all.add(sum)
		row := ""
		for _, lang := range languages {
			if by[lang] == nil {
				row += "      -"
			} else {
				row += fmt.Sprintf(" %6.1f", by[lang].share())
			}
		}
		percent := func(n, of int) float64 { return 100 * float64(n) / float64(max(1, of)) }
		t.Logf("%-32s %6.1f %6.1f %6.1f %5.1f  %s", layout.name, percent(sum.stops, sum.ofStops), percent(sum.couplers, sum.ofCouplers), percent(sum.facts, sum.ofFacts), percent(sum.more, sum.ofStops), row)
		floor, lower := floors[layout.name]
		if !lower {
			floor = usualFloor
		}
		assert.GreaterOrEqual(t, sum.share(), floor, layout.name)
	}
	t.Logf("all: %.2f %% of %d stops, %.2f %% of %d couplers, %.2f %% of %d facts, %d more", 100*float64(all.stops)/float64(all.ofStops), all.ofStops,
		100*float64(all.couplers)/float64(max(1, all.ofCouplers)), all.ofCouplers, 100*float64(all.facts)/float64(max(1, all.ofFacts)), all.ofFacts, all.more)
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
