package main

import (
	"context"
	"fmt"
	"os"
	"os/signal"
	"strings"
	"sync/atomic"
	"syscall"
	"time"

	"afterchord/render/results"
)

// grace is how long a run may take to end by itself when it is interrupted.
const grace = 150 * time.Millisecond

// signals is what a run and the program's signals know of one another.
type signals struct {
	came    atomic.Bool
	settles atomic.Bool // the run ends by itself and keeps what it has
}

// signalsKey is the context's key for the signals.
type signalsKey struct{}

// stopOnSignals gives a context that ends at the first SIGINT or SIGTERM. What does not look at its context is
// ended after a grace without its results, but for a run that [settling] lets finish; a second signal ends the program
// at once. The function that it gives says whether a signal came.
func stopOnSignals(ctx context.Context) (run context.Context, stopped func() bool) {
	s := &signals{}
	run, cancel := context.WithCancel(context.WithValue(ctx, signalsKey{}, s))
	coming := make(chan os.Signal, 2)
	signal.Notify(coming, os.Interrupt, syscall.SIGTERM)
	go func() {
		<-coming
		s.came.Store(true)
		cancel()
		select {
		case <-coming:
			os.Exit(codeInterrupted)
		case <-time.After(grace):
		}
		if s.settles.Load() {
			fmt.Fprintln(os.Stderr, "afterchord: interrupted: what was found so far is proved and written; again to stop at once")
			<-coming
		}
		exitInterrupted()
	}()
	return run, s.came.Load
}

// settling lets a run that is interrupted bring what it has to an end; done ends that.
func settling(ctx context.Context) (done func()) {
	s, ok := ctx.Value(signalsKey{}).(*signals)
	if !ok {
		return func() {}
	}
	s.settles.Store(true)
	return func() { s.settles.Store(false) }
}

// exitInterrupted drops what is half done and ends the program. Results that are just being put in place are
// put in place first.
func exitInterrupted() {
	message := "afterchord: interrupted"
	if results.DiscardAll() > 0 {
		message += "; nothing was written"
	}
	fmt.Fprintln(os.Stderr, message)
	os.Exit(codeInterrupted)
}

// printable is text without control characters: names of files may hold what moves a terminal's cursor.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' && r != '\n' && r != '\t' || r >= 0x7f && r < 0xa0 {
			return '\uFFFD'
		}
		return r
	}, s)
}
