package main

import (
	"context"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
)

// TestPagesAreAccessible runs axe-core (rules of WCAG 2.1 A and AA, and good practice) over every page that a command writes, in
// light and in dark; it is left out where there is no Chromium, or `make check-page` has not fetched axe-core.
func TestPagesAreAccessible(t *testing.T) {
	const browser = "/usr/bin/chromium"
	longtest.Only(t, "drives a browser")
	if _, err := os.Stat(browser); err != nil {
		t.Skip("no Chromium at " + browser)
	}
	axe, err := os.ReadFile(filepath.Join("..", "..", "render", "desk", "check", "node_modules", "axe-core", "axe.min.js"))
	if err != nil {
		t.Skip("no axe-core: make check-page fetches it")
	}
	score, err := filepath.Abs("../../testdata/vesper.musicxml")
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	for _, args := range [][]string{
		{"proof", score, "--room", "cathedral", "--sheet", "--no-audio", "--out", "proof"},
		{"mend", score, "--room", "cathedral", "--all", "--no-audio", "--out", "mend"},
		{"compare", score, "--room", "chapel", "--with-room", "cathedral", "--no-audio", "--out", "compare"},
		{"sweep", score, "--out", "sweep"},
	} {
		out, err := here(t, args...)
		require.NoError(t, err, out)
	}
	alloc, stop := chromedp.NewExecAllocator(t.Context(), append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(browser), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true))...)
	defer stop()
	ctx, end := chromedp.NewContext(alloc)
	defer end()
	ctx, cancel := context.WithTimeout(ctx, 4*time.Minute)
	defer cancel()
	here, err := os.Getwd()
	require.NoError(t, err)
	const violations = `axe.run(document, { runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'best-practice'] }).then(r =>
		JSON.stringify(r.violations.map(v => [v.id, v.help, v.nodes.slice(0, 3).map(n => n.html.slice(0, 160))]), null, 1))`
	for _, page := range []string{"proof/proof.html", "proof/sheet.html", "mend/mend.html", "compare/compare.html", "sweep/sweep.html"} {
		t.Run(page, func(t *testing.T) {
			require.NoError(t, chromedp.Do(ctx, chromedp.Navigate("file://"+filepath.Join(here, page))))
			_, err := chromedp.Run(ctx, chromedp.Evaluate[bool](string(axe)+"; true"))
			require.NoError(t, err)
			for _, scheme := range []string{"light", "dark"} {
				_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
				require.NoError(t, err)
				found, err := chromedp.Run(ctx, chromedp.Evaluate[string](violations, chromedp.EvalAwaitPromise))
				require.NoError(t, err)
				assert.Equal(t, "[]", found, scheme)
			}
			wide, err := chromedp.Run(ctx, chromedp.Evaluate[bool](`document.documentElement.scrollWidth > innerWidth`))
			require.NoError(t, err)
			assert.False(t, wide, "no page is wider than the screen")
		})
	}
}
