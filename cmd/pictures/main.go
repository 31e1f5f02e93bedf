// Command pictures makes the pictures of the documentation: the report, as Chromium shows it, and how the
// model of hearing stands to its sources. Run it from the top folder:
//
//	go run ./cmd/pictures
package main

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"afterchord/acoustics/room"
	"afterchord/render/figures"
	"afterchord/render/report"
	"afterchord/sim/demos"
	"afterchord/sim/proof"
	"afterchord/sim/score/smf"
	"afterchord/voicing"

	"github.com/chromedp/chromedp"
)

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "pictures:", err)
		os.Exit(1)
	}
}

func run() error {
	if err := drawHearing(filepath.Join("render", "pictures", "hearing.svg")); err != nil {
		return err
	}
	dir, err := os.MkdirTemp("", "pictures")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	page := filepath.Join(dir, "proof.html")
	if err := writeReport(page, "drop", "cathedral"); err != nil {
		return err
	}
	return shoot("file://"+page, filepath.Join("render", "pictures", "report.png"), 1180, 1180)
}

// drawHearing draws the loudness model against ISO 532-2:2017.
func drawHearing(path string) error {
	f, err := figures.Hearing()
	if err != nil {
		return err
	}
	svg, err := f.SVG()
	if err != nil {
		return err
	}
	return os.WriteFile(path, svg, 0o644)
}

// writeReport writes the report of a demo piece in a built-in room.
func writeReport(path, demo, roomName string) error {
	data, ok := demos.Piece(demo)
	if !ok {
		return fmt.Errorf("no demo %q", demo)
	}
	s, err := smf.Read(data, demo+".mid")
	if err != nil {
		return err
	}
	r, ok := room.BuiltIn(roomName)
	if !ok {
		return fmt.Errorf("no room %q", roomName)
	}
	o, ok := voicing.BuiltIn("minster")
	if !ok {
		return fmt.Errorf("no organ")
	}
	seat, err := r.Seat("middle")
	if err != nil {
		return err
	}
	p, err := proof.Run(context.Background(), proof.Input{Score: s, Room: r, Seat: seat, Organ: o})
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := report.WriteHTML(&b, p.Document, report.Options{}); err != nil {
		return err
	}
	return os.WriteFile(path, b.Bytes(), 0o644)
}

// settle is how long a page may take to draw itself.
const settle = 500 * time.Millisecond

// shoot takes a screenshot of a page at a width and height in CSS pixels.
func shoot(url, path string, width, height int) error {
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.NoSandbox, chromedp.DisableGPU, chromedp.WindowSize(width, height))
	if os.Getenv("CHROMIUM") != "" {
		opts = append(opts, chromedp.ExecPath(os.Getenv("CHROMIUM")))
	}
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	defer stop()
	ctx, cancel := chromedp.NewContext(alloc)
	defer cancel()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(int64(width), int64(height)), chromedp.Navigate(url)); err != nil {
		return err
	}
	time.Sleep(settle)
	png, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
	if err != nil {
		return err
	}
	return os.WriteFile(path, png, 0o644)
}
