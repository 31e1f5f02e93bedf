// Package browser is for tests that drive a browser.
package browser

import (
	"context"
	"os"
	"testing"

	"github.com/chromedp/chromedp"
)

// Chromium is where Debian keeps it.
const Chromium = "/usr/bin/chromium"

// Every is the variable of the environment that has every test in a browser run. Without it a package drives one in
// what its users do first, and leaves out other browsers, other sizes, faults, long scores and many listeners.
const Every = "AFTERCHORD_BROWSERS"

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

// Long is called by a test that runs where every test in a browser is asked for.
func Long(t testing.TB) {
	t.Helper()
	if os.Getenv(Every) == "" || testing.Short() {
		t.Skip("drives a browser for long: " + Every + "=1 runs it")
	}
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
