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

	"afterchord/render/internal/browser"
	"afterchord/render/internal/sample"
)

// TestPrintedInEightPages prints a report of more findings than anybody reads, and one of few.
func TestPrintedInEightPages(t *testing.T) {
	browser.Long(t)
	ctx, end := browser.Start()
	defer end()
	ctx, cancel := context.WithTimeout(ctx, 2*time.Minute)
	defer cancel()
	sheets := regexp.MustCompile(`/Type\s*/Page\b[^s]`)
	for _, findings := range []int{3, 300} {
		var b bytes.Buffer
		d := sample.Document(400, 4)
		d.Findings = d.Findings[:min(findings, len(d.Findings))]
		for i := len(d.Findings); i < findings; i++ {
			f := d.Findings[i%3]
			f.ID = i + 1
			d.Findings = append(d.Findings, f)
		}
		require.NoError(t, WriteHTML(&b, d, Options{}))
		file := filepath.Join(t.TempDir(), "report.html")
		require.NoError(t, os.WriteFile(file, b.Bytes(), 0o644))
		require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("file://"+file)))
		out, err := chromedp.Call(ctx, printing.PrintToPDF, printing.PrintToPDFParams{PrintBackground: new(true), PreferCSSPageSize: new(true)})
		require.NoError(t, err)
		require.LessOrEqual(t, len(sheets.FindAll(out.Data, -1)), 8, "%d findings", findings)
		require.NotEmpty(t, sheets.FindAll(out.Data, -1))
	}
}
