// Command shots makes the pictures of the desk for the documentation: go run ./cmd/shots DIR.
// It needs Chromium.
package main

import (
	"context"
	"fmt"
	"net/http/httptest"
	"os"
	"path/filepath"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"afterchord/render/desk"
	"afterchord/render/engraving"
)

func main() {
	if len(os.Args) != 2 {
		fmt.Fprintln(os.Stderr, "shots wants the folder for the pictures")
		os.Exit(2)
	}
	if err := run(os.Args[1]); err != nil {
		fmt.Fprintln(os.Stderr, "shots:", err)
		os.Exit(1)
	}
}

type view struct {
	name          string
	width, height int64
	dark          bool
	full          bool
	do            []chromedp.Action[chromedp.Void]
}

func run(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	projects, err := os.MkdirTemp("", "afterchord-shots-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(projects)
	d, err := desk.New(desk.Options{Dir: projects, Remedies: desk.TableRemedies{}})
	if err != nil {
		return err
	}
	s := httptest.NewServer(d)
	defer s.Close()
	alloc, stop := chromedp.NewExecAllocator(context.Background(), append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Flag("disable-background-networking", true))...)
	defer stop()
	ctx, end := chromedp.NewContext(alloc)
	defer end()
	ctx, cancel := context.WithTimeout(ctx, 2*time.Minute)
	defer cancel()

	type step = chromedp.Action[chromedp.Void]
	js := func(expression string) step { return quietly(chromedp.Evaluate[bool](expression + "; true")) }
	again := []step{quietly(chromedp.Poll[bool](`document.body.dataset.proved === 'yes' && !document.body.classList.contains('proving')`)), chromedp.Sleep(400 * time.Millisecond)}
	_, notation := engraving.Library()
	if notation { // it is engraved when it is looked at
		again = append(again, js(`document.querySelector('.notation').scrollIntoView()`), quietly(chromedp.Poll[bool](`document.querySelector('.notation').dataset.shows === 'this' || document.querySelector('.notation').hidden`)),
			js(`scrollTo(0, 0)`), chromedp.Sleep(300*time.Millisecond))
	}
	demo := func(name string) []step { // what is kept is cleared where no desk is open that would keep it again
		return append([]step{chromedp.Navigate("about:blank"), chromedp.Navigate(s.URL + "/assets/desk.css"), js(`sessionStorage.clear(); localStorage.clear()`), chromedp.Navigate(s.URL + "/?" + name), chromedp.WaitVisible(chromedp.CSS(`[data-demo=` + name + `]`)),
			js(`document.querySelector('[data-demo=` + name + `]').click()`)}, again...)
	}
	compare := append([]step{js(`document.getElementById('compare').click()`), chromedp.Sleep(300 * time.Millisecond),
		js(`{const r = document.getElementById('room'); r.value = 'chapel'; r.dispatchEvent(new Event('change'))}`), chromedp.Sleep(700 * time.Millisecond)}, again...)
	mended := append([]step{js(`document.querySelector('[data-kind=covered-entry] [data-remedy=release-early]').click()`), chromedp.WaitVisible(chromedp.CSS(`.why`)), chromedp.Sleep(500 * time.Millisecond)}, again...)
	choose := func(id, value string) step {
		return js(`{const s = document.getElementById('` + id + `'); s.value = '` + value + `'; s.dispatchEvent(new Event('change'))}`)
	}
	shown := func(value string) step {
		return js(`document.querySelector('[name=shown][value=` + value + `]')?.click()`)
	}
	views := []view{
		{"welcome", 1280, 800, false, false, []step{chromedp.Navigate(s.URL), chromedp.WaitVisible(chromedp.CSS(`.demo`))}},
		{"desk-light", 1280, 900, false, false, demo("drop")},
		{"desk-light-whole", 1280, 900, false, true, again},
		{"desk-dark", 1280, 900, true, false, again},
		{"mended", 1280, 900, false, false, append(demo("drop"), mended...)},
		{"compare", 1280, 900, false, true, compare},
		{"phone", 390, 844, false, true, demo("solo")},
		{"phone-top", 390, 844, true, false, again},
		{"phone-menu", 390, 844, true, false, []step{js(`document.getElementById('keep').open = true`)}},
		{"vigil", 1280, 900, false, false, demo("vigil")},
	}
	if notation {
		selected := append([]step{shown("notation")}, append(again, js(`document.querySelectorAll('.paper .tag')[1].click()`), chromedp.Sleep(700*time.Millisecond), js(`scrollTo(0, 0)`))...)
		views = append(views,
			view{"notation-light", 1280, 900, false, false, append(demo("vigil"), selected...)},
			view{"notation-dark", 1280, 900, true, false, again},
			view{"notation-midi", 1280, 900, false, false, append(demo("drop"), again...)},
			view{"notation-narrow", 390, 844, false, false, append(again, js(`document.querySelector('.notation').scrollIntoView()`))},
			view{"notation-projector", 1600, 900, false, false, append([]step{choose("size", "large"), chromedp.Sleep(600 * time.Millisecond)}, again...)},
			view{"picture-alone", 1280, 900, false, false, append([]step{choose("size", ""), shown("picture")}, chromedp.Sleep(400*time.Millisecond))},
		)
	}
	for _, v := range views {
		scheme := "light"
		if v.dark {
			scheme = "dark"
		}
		steps := append([]step{chromedp.EmulateViewport(v.width, v.height), quietly(func(ctx context.Context, _ *chromedp.Target) (bool, error) {
			_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
				Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
			return true, err
		})}, v.do...)
		steps = append(steps, chromedp.Sleep(300*time.Millisecond))
		if err := chromedp.Do(ctx, steps...); err != nil {
			return fmt.Errorf("%s: %w", v.name, err)
		}
		picture := chromedp.CaptureScreenshot()
		if v.full {
			picture = chromedp.FullScreenshot(100)
		}
		png, err := chromedp.Run(ctx, picture)
		if err != nil {
			return fmt.Errorf("%s: %w", v.name, err)
		}
		if err := os.WriteFile(filepath.Join(dir, v.name+".png"), png, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// quietly drops the value of an action.
func quietly[T any](a chromedp.Action[T]) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := a(ctx, t)
		return err
	})
}
