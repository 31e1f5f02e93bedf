package report

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"regexp"
	"testing"
	"time"

	printing "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/require"

	"afterchord/render/engraving"
	"afterchord/render/internal/browser"
	"afterchord/render/internal/sample"
	"afterchord/sim/finding"
)

// The two sides of a cure stand on the same axes, so that it is seen.
func TestSidesShareTheirAxes(t *testing.T) {
	long := finding.Trace{FromS: 10, StepS: 0.1, OldDB: []float32{85, 80, 75, 70}, NewDB: []float32{60, 64, 65, 65}}
	short := finding.Trace{FromS: 10, StepS: 0.1, OldDB: []float32{66, 60}, NewDB: []float32{55, 64}}
	a := axesOf(&long, &short)
	require.Equal(t, tracePictureOn(long, a).YTicks, tracePictureOn(short, a).YTicks)
	require.Equal(t, tracePictureOn(long, a).XTicks, tracePictureOn(short, a).XTicks)
	require.NotEqual(t, tracePicture(long).YTicks, tracePicture(short).YTicks)
}

// TestSheetIsOnePage engraves the bars of a sheet in a browser, as written and as rewritten, and prints it.
func TestSheetIsOnePage(t *testing.T) {
	if _, ok := engraving.Library(); !ok {
		t.Skip("built without the engraving library: run make engraving")
	}
	browser.Long(t)
	d := sample.Document(8, 4)
	score := oneFinding()
	score.Places[0].ID = d.Findings[0].ID
	var b bytes.Buffer
	require.NoError(t, WriteSheet(&b, Sheet{Before: d, After: sample.Document(8, 1), Finding: d.Findings[0], Remedy: "Changed.", Scores: [2]*engraving.Sheet{score, score}}))
	file := filepath.Join(t.TempDir(), "sheet.html")
	require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
	ctx, end := browser.Start()
	defer end()
	ctx, cancel := context.WithTimeout(ctx, time.Minute)
	defer cancel()
	require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("file://"+file)))
	_, err := chromedp.Run(ctx, chromedp.Poll[bool](`document.querySelectorAll('.engraved-bars svg').length === 2`, chromedp.WithPollingTimeout(20*time.Second)))
	require.NoError(t, err, "the bars of both sides")
	require.Positive(t, evaluate[int](t, ctx, `document.querySelectorAll('.engraved-bars .vf-notehead, .engraved-bars .vf-note').length`))
	require.True(t, evaluate[bool](t, ctx, `getComputedStyle(document.querySelector('.passage')).display === 'none'`), "one picture of the notes")
	out, err := chromedp.Call(ctx, printing.PrintToPDF, printing.PrintToPDFParams{PrintBackground: new(true), PreferCSSPageSize: new(true)})
	require.NoError(t, err)
	require.Len(t, regexp.MustCompile(`/Type\s*/Page\b[^s]`).FindAll(out.Data, -1), 1)
}
