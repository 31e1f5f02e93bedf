package terms_test

import (
	"bytes"
	"context"
	"encoding/json"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
	"afterchord/acoustics/room"
	"afterchord/render/engraving"
	"afterchord/render/report"
	"afterchord/render/terms"
	"afterchord/sim/casebook"
	"afterchord/sim/demos"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
	"afterchord/sim/score/file"
	"afterchord/voicing"
)

// What one table has, all have, with the same places for what is put in.
func TestTablesOfSentencesAreAlike(t *testing.T) {
	tables := map[string]map[string]string{}
	all := map[string]bool{}
	for name := range terms.Languages() {
		data, err := os.ReadFile("sentences/" + name + ".json")
		require.NoError(t, err)
		var table map[string]string
		require.NoError(t, json.Unmarshal(data, &table))
		tables[name] = table
		for english := range table {
			all[english] = true
		}
	}
	place := regexp.MustCompile(`\{(\d)=?\}`)
	places := func(text string) (out []string) {
		for _, m := range place.FindAllStringSubmatch(text, -1) {
			out = append(out, m[1])
		}
		slices.Sort(out)
		return out
	}
	for name, table := range tables {
		for english := range all {
			said, ok := table[english]
			if assert.True(t, ok, "%s.json lacks %q", name, english) {
				assert.Equal(t, places(english), places(said), "%s: what is put into %q", name, english)
			}
		}
	}
}

// The report, the lesson sheet and the page of two sides are in a language as a whole.
func TestPagesAreInALanguage(t *testing.T) {
	hall, _ := room.BuiltIn("cathedral")
	seat, err := hall.Seat("middle")
	require.NoError(t, err)
	organ, _ := voicing.BuiltIn("minster")
	data, _ := demos.Piece("drop")
	s, err := file.Read(data, demos.File("drop"))
	require.NoError(t, err)
	p, err := proof.Run(t.Context(), proof.Input{Score: s, Room: hall, Seat: seat, Organ: organ})
	require.NoError(t, err)
	sheet, err := engraving.NewSheet(p)
	require.NoError(t, err)
	apart := regexp.MustCompile(`(?s)<(script|style|pre|h1)\b.*?</(script|style|pre|h1)>|<[^>]*translate="no"[^>]*>[^<]*|<dl class="limits".*?</dl>|<title>.*?</title>|<[^>]*>`)
	left := regexp.MustCompile(`\b(the|and|which|with|stops|knobs|bars?|beat|seat)\b`)
	scores := [2]*engraving.Sheet{sheet, sheet}
	for name, l := range terms.Languages() {
		for what, write := range map[string]func(*bytes.Buffer) error{
			"report": func(b *bytes.Buffer) error {
				return report.WriteHTML(b, p.Document, report.Options{Sheet: sheet, Language: l})
			},
			"lesson sheet": func(b *bytes.Buffer) error {
				return report.WriteSheet(b, report.Sheet{Before: p.Document, After: p.Document, Finding: p.Document.Findings[0], Scores: scores, Language: l})
			},
			"two sides": func(b *bytes.Buffer) error {
				return report.WriteMended(b, report.Mended{Before: p.Document, After: p.Document, Scores: scores, Language: l})
			},
		} {
			var b bytes.Buffer
			require.NoError(t, write(&b))
			assert.Contains(t, b.String(), `<html lang="`+name+`">`)
			for _, text := range apart.Split(b.String(), -1) {
				if title := p.Document.Score.Title; !strings.Contains(text, title) {
					assert.Empty(t, left.FindString(text), "%s of %s: %s", name, what, text)
				}
			}
		}
	}
	assert.Equal(t, `<html lang="de"><p title="Takt 3">a &lt; b, <b> Takt 3 </b><td translate="no">Great</td><h1>Great</h1><script>"Great"</script>`,
		terms.Languages()["de"].Page(`<html lang="en"><p title="bar 3">a &lt; b, <b> bar 3 </b><td translate="no">Great</td><h1>Great</h1><script>"Great"</script>`))
}

// All that the program says of the demos and of the coach's cases, and of rewritings of them, is said in every language, and nothing
// of it stays English.
func TestSentencesAreWhole(t *testing.T) {
	left := regexp.MustCompile(`\b(the|and|which|with|stops|knobs)\b`)
	seen := map[string]bool{}
	say := func(text string) {
		if text == "" || seen[text] {
			return
		}
		seen[text] = true
		for name, l := range terms.Languages() {
			said, ok := l.Say(text)
			assert.True(t, ok, "%s has no words for %q", name, text)
			assert.Empty(t, left.FindString(said), "%s says %q for %q", name, said, text)
		}
	}
	of := func(in proof.Input, rewritings int) {
		p, err := proof.Run(t.Context(), in)
		require.NoError(t, err)
		if p.Document.Whole != nil {
			say(p.Document.Whole.Line)
		}
		for _, m := range p.Document.Organ.Mapping {
			say(m.Why)
		}
		for i, f := range p.Document.Findings {
			say(f.Message)
			for _, try := range f.Try {
				say(try)
			}
			if i >= rewritings {
				continue
			}
			results, err := remedy.Mend(context.Background(), in, f, remedy.For(f.Kind))
			require.NoError(t, err)
			for _, r := range results {
				say(r.What)
				say(r.Verdict)
			}
		}
	}
	pages, rewritings := longtest.Of(1, 10), longtest.Of(0, 3)
	for _, c := range casebook.Cases {
		for n := range uint64(pages) {
			piece, err := casebook.Make(c, n, false)
			require.NoError(t, err)
			of(piece.Input, rewritings)
		}
	}
	hall, _ := room.BuiltIn("cathedral")
	seat, err := hall.Seat("middle")
	require.NoError(t, err)
	organ, _ := voicing.BuiltIn("village")
	for _, name := range demos.Names {
		data, _ := demos.Piece(name)
		s, err := file.Read(data, demos.File(name))
		require.NoError(t, err)
		of(proof.Input{Score: s, Room: hall, Seat: seat, Organ: organ}, rewritings)
	}
	assert.NotEmpty(t, seen)
}
