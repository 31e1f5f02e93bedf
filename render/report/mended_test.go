package report

import (
	"bytes"
	"context"
	"fmt"
	"html"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"afterchord/render/engraving"
	"afterchord/render/internal/browser"
	"afterchord/render/internal/sample"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/remedy"
	"afterchord/sim/sweep"
)

func TestMendedPageEscapesAndRunsItsOwnScriptAlone(t *testing.T) {
	evil := `"><script>alert(1)</script>`
	d := sample.Document(12, 4)
	d.Score.Title, d.Room.Title = evil, evil
	var b bytes.Buffer
	require.NoError(t, WriteMended(&b, Mended{Before: d, After: sample.Document(12, 1), Why: evil, Sounds: [2]string{"before/heard.wav", "javascript:x"},
		Changes: []MendedChange{{Where: evil, Remedy: evil, What: evil, Verdict: evil}}, Left: []MendedChange{{Where: evil, What: evil}}}))
	s := b.String()
	require.Equal(t, 1, strings.Count(s, "<script>"), "its own")
	require.NotContains(t, s, "<script>alert")
	require.NotContains(t, s, `src="javascript:`)
	require.True(t, strings.Contains(html.UnescapeString(s), "script-src '"+hashOf(mendedJS)+"'"))
	require.Contains(t, s, `src="./before/heard.wav"`)
	require.Error(t, WriteMended(&b, Mended{Before: d}))
}

// bothSides is a page of one finding before and after, with the scores.
func bothSides(t *testing.T, scores [2]*engraving.Sheet) string {
	t.Helper()
	d := &proof.Document{Findings: []finding.Finding{{ID: 1, Kind: finding.KindLateSpeech, Bar: 1, Beat: 1, Severity: finding.Fail, Count: 1}},
		Score: proof.ScoreInfo{Title: "one", DurationS: 2}, Bars: []proof.BarInfo{{Number: 1}}}
	var b bytes.Buffer
	require.NoError(t, WriteMended(&b, Mended{Before: d, After: d, Scores: scores, Changes: []MendedChange{{Where: "bar 1", Finding: 1}, {Where: "bar 9", Finding: 9}}}))
	return b.String()
}

func TestBothScoresAreInThePage(t *testing.T) {
	require.Contains(t, bothSides(t, [2]*engraving.Sheet{oneFinding(), nil}), "longer than a page can engrave")
	page := bothSides(t, [2]*engraving.Sheet{oneFinding(), oneFinding()})
	if _, ok := engraving.Library(); !ok {
		require.Contains(t, page, "built without its engraving library")
		require.NotContains(t, page, "notation-data")
		t.Skip("built without the engraving library: run make engraving")
	}
	require.Equal(t, 3, strings.Count(page, "sha256-"), "the page's script, the scores', the library")
	require.Equal(t, 1, strings.Count(page, `<tr class="bars-of">`), "of the change that has a place")
	require.Equal(t, strings.Count(page, "<script"), strings.Count(page, "</script>"))
}

func TestBothScoresInABrowser(t *testing.T) {
	browser.Long(t)
	if _, ok := engraving.Library(); !ok {
		t.Skip("built without the engraving library: run make engraving")
	}
	file := filepath.Join(t.TempDir(), "page.html")
	require.NoError(t, os.WriteFile(file, []byte(bothSides(t, [2]*engraving.Sheet{oneFinding(), oneFinding()})), 0o644))
	ctx, end := browser.Start(chromedp.WindowSize(1000, 900))
	defer end()
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("file://"+file)))
	until := func(condition string) {
		_, err := chromedp.Run(ctx, chromedp.Poll[bool](condition, chromedp.WithPollingTimeout(20*time.Second)))
		require.NoError(t, err, condition)
	}
	until(`document.querySelectorAll('.bars-of .engraved-bars svg').length === 2`)
	until(`[...document.querySelectorAll('.paper')].map(p => p.checkVisibility() && !!p.querySelector('svg')).join() === 'true,false'`)
	evaluate[bool](t, ctx, `document.dispatchEvent(new KeyboardEvent('keydown', { key: 'x' }))`)
	until(`[...document.querySelectorAll('.paper')].map(p => p.checkVisibility() && !!p.querySelector('svg')).join() === 'false,true'`)
}

func TestSweptPageHasEveryCell(t *testing.T) {
	r := &sweep.Result{Score: "x<y>.mid", Rooms: []sweep.RoomLine{{Name: "a&b", RTS: 1}, {Name: "nave", RTS: 4}}, Tempi: []float64{0.8, 1}, Organs: []string{"one"}}
	for i := range 4 {
		r.Cells = append(r.Cells, sweep.Cell{Crotchets: 60 + float64(i%2)*12, Findings: remedy.Tally{Fails: i, LostS: float64(i)}, Clean: i == 0, LostShare: 0.02 * float64(i),
			Stops: &sweep.Stop{Kind: "covered-entry", Where: fmt.Sprintf("bar %d", 10+i)}})
	}
	r.Fastest = []sweep.Fastest{{Organ: "one", Room: "a&b", Survives: 72}, {Organ: "one", Room: "nave"}}
	r.Passages = []sweep.PassageLine{{Organ: "one", FromBar: 1, ToBar: 4, Fastest: []float64{72, 0}}}
	var b bytes.Buffer
	require.NoError(t, WriteSweep(&b, r))
	s := b.String()
	require.NotContains(t, s, "x<y>")
	require.Contains(t, s, "a&amp;b")
	require.Contains(t, s, "clean")
	require.Contains(t, s, "covered entry, bar 13", "what stops the tempo")
	require.Contains(t, s, "<b>6.0 %</b>", "of the piece")
	require.Contains(t, s, "--heat:100%")
	require.Contains(t, s, ">none<")
}
