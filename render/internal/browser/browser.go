// Package browser is for tests that drive a browser.
package browser

import (
	"context"
	"os"
	"testing"

	"github.com/chromedp/chromedp"

	"afterchord/acoustics/longtest"
)

// Chromium is where Debian keeps it.
const Chromium = "/usr/bin/chromium"

// A package drives a browser each time in what its users do first (Quick). Other browsers, other sizes, faults, long scores
// and many listeners are for whoever asks (Long).

// Quick is called by a test that drives Chromium each time: -short leaves it out, and a machine without Chromium.
func Quick(t testing.TB) {
	t.Helper()
	if testing.Short() {
		t.Skip("drives a browser: -short leaves it out")
	}
	if _, err := os.Stat(Chromium); err != nil {
		t.Skip("no Chromium at " + Chromium)
	}
}

// Long is called by a test that drives Chromium where the long tests are asked for (longtest).
func Long(t testing.TB) {
	t.Helper()
	longtest.Only(t, "drives a browser")
	Quick(t)
}

// Start starts a headless Chromium, which plays without a click. end ends it.
func Start(more ...chromedp.ExecAllocatorOption) (ctx context.Context, end func()) {
	alloc, stop := chromedp.NewExecAllocator(context.Background(), append(append(chromedp.DefaultExecAllocatorOptions[:],
		chromedp.ExecPath(Chromium), chromedp.NoSandbox, chromedp.DisableGPU, chromedp.WindowSize(1280, 900),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("autoplay-policy", "no-user-gesture-required")), more...)...)
	ctx, leave := chromedp.NewContext(alloc)
	return ctx, func() {
		leave()
		stop()
	}
}
