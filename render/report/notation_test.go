package report

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"afterchord/render/engraving"
	"afterchord/render/internal/browser"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

const oneBar = `<?xml version="1.0" encoding="UTF-8"?>
<score-partwise version="4.0"><work><work-title>A &lt;/script&gt; title</work-title></work><part-list><score-part id="P1"><part-name>Great</part-name></score-part></part-list>
<part id="P1"><measure number="1"><attributes><divisions>1</divisions><time><beats>4</beats><beat-type>4</beat-type></time><clef><sign>G</sign><line>2</line></clef></attributes>
<direction><direction-type><words>&lt;img src=x onerror="document.title='taken'"&gt;</words></direction-type></direction>
<note color="#000007"><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration><voice>1</voice><type>whole</type></note></measure></part></score-partwise>`

func notated(t *testing.T, sheet *engraving.Sheet) string {
	t.Helper()
	d := &proof.Document{Findings: []finding.Finding{{ID: 1, Kind: finding.KindLateSpeech, Bar: 1, Beat: 1, Severity: finding.Fail, Count: 1}},
		Score: proof.ScoreInfo{Title: "one", DurationS: 2}, Bars: []proof.BarInfo{{Number: 1}}}
	var b bytes.Buffer
	require.NoError(t, WriteHTML(&b, d, Options{Sheet: sheet}))
	return b.String()
}

func oneFinding() *engraving.Sheet {
	return &engraving.Sheet{Music: engraving.Music{MusicXML: oneBar, Bars: 1}, Places: []engraving.Place{{ID: 1, Notes: []int{7}}},
		Moments: []engraving.Moment{{AtS: 0}, {AtS: 2, Share: 1}}}
}

func TestNotationInThePage(t *testing.T) {
	require.NotContains(t, notated(t, nil), "notation-data")
	if _, ok := engraving.Library(); !ok {
		require.NotContains(t, notated(t, &engraving.Sheet{Music: engraving.Music{MusicXML: oneBar, Bars: 1}}), "notation-data", "without the library, without notation")
		t.Skip("built without the engraving library: run make engraving")
	}
	page := notated(t, oneFinding())
	require.Equal(t, 3, strings.Count(page, "sha256-"), "the page's script, the notation's, the library")
	require.Contains(t, page, "PhonicScore")
	require.Equal(t, strings.Count(page, "<script"), strings.Count(page, "</script>"))
	require.Less(t, len(page), 700_000)
}

// In a browser the score is engraved under the page's own policy, and the finding stands over it.
func TestNotationInABrowser(t *testing.T) {
	browser.Long(t)
	if _, ok := engraving.Library(); !ok {
		t.Skip("built without the engraving library: run make engraving")
	}
	file := filepath.Join(t.TempDir(), "page.html")
	require.NoError(t, os.WriteFile(file, []byte(notated(t, oneFinding())), 0o644))
	ctx, end := browser.Start(chromedp.WindowSize(1000, 900))
	defer end()
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("file://"+file)))
	_, err := chromedp.Run(ctx, chromedp.Poll[bool](`document.querySelector('.paper .over-bars') !== null`, chromedp.WithPollingTimeout(20*time.Second)))
	require.NoError(t, err, "nothing stands over the bars")
	heads := evaluate[int](t, ctx, `document.querySelectorAll('.paper .vf-notehead, .paper .vf-note').length`)
	frames := evaluate[int](t, ctx, `document.querySelectorAll('.paper .over-bars.fail').length`)
	state := evaluate[string](t, ctx, `document.querySelector('#notation .state').textContent`)
	title := evaluate[string](t, ctx, `document.title`)
	here := evaluate[string](t, ctx, `(() => { document.querySelector('.paper .tag').click(); return document.querySelector('.finding.here').id; })()`)
	require.Positive(t, heads)
	require.Equal(t, 1, frames)
	require.Empty(t, state)
	require.Equal(t, "one: proof", title, "text of the score runs nothing")
	require.Equal(t, "f1", here, "a press on the finding shows it")
}

func evaluate[T any](t *testing.T, ctx context.Context, expression string) T {
	t.Helper()
	v, err := chromedp.Run(ctx, chromedp.Evaluate[T](expression))
	require.NoError(t, err, expression)
	return v
}
