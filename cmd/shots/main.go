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
	for _, v := range views(s.URL) {
		png, err := v.take(ctx)
		if err != nil {
			return fmt.Errorf("%s: %w", v.name, err)
		}
		if err := os.WriteFile(filepath.Join(dir, v.name+".png"), png, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// take shows the view in the browser and gives its picture, PNG.
func (v *view) take(ctx context.Context) ([]byte, error) {
	scheme := "light"
	if v.dark {
		scheme = "dark"
	}
	steps := append([]step{chromedp.EmulateViewport(v.width, v.height), quietly(func(ctx context.Context, _ *chromedp.Target) (bool, error) {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
			Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}}})
		return true, err
	})}, v.do...)
	if err := chromedp.Do(ctx, append(steps, pause(300))...); err != nil {
		return nil, err
	}
	picture := chromedp.CaptureScreenshot()
	if v.full {
		picture = chromedp.FullScreenshot(100)
	}
	return chromedp.Run(ctx, picture)
}

// quietly drops the value of an action.
func quietly[T any](a chromedp.Action[T]) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := a(ctx, t)
		return err
	})
}
