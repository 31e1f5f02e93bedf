package main

import (
	"os"
	"time"

	"github.com/schollz/progressbar/v3"
	"golang.org/x/term"
)

// progress is a bar on standard error that shows only on a terminal and only when the work
// takes over a second.
type progress struct {
	what  string
	start time.Time
	bar   *progressbar.ProgressBar
	on    bool
}

func newProgress(what string) *progress {
	on := term.IsTerminal(int(os.Stderr.Fd())) && term.IsTerminal(int(os.Stdout.Fd()))
	return &progress{what: what, start: time.Now(), on: on}
}

// set says how much of the whole is done.
func (p *progress) set(done, total float64) {
	if !p.on || total <= 0 || time.Since(p.start) < time.Second {
		return
	}
	if p.bar == nil {
		p.bar = progressbar.NewOptions(1000, progressbar.OptionSetDescription(p.what), progressbar.OptionSetWriter(os.Stderr),
			progressbar.OptionClearOnFinish(), progressbar.OptionSetPredictTime(true), progressbar.OptionThrottle(100*time.Millisecond))
	}
	_ = p.bar.Set(int(1000 * done / total)) // a bar that cannot be drawn is no failure
}

func (p *progress) done() {
	if p.bar != nil {
		_ = p.bar.Finish()
	}
}
