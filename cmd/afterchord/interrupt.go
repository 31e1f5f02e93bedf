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

// stopOnSignals cancels the run at the first SIGINT or SIGTERM. What does not look at its context is
// ended after a grace without its results; a second signal ends the program at once. The function that
// it gives says whether a signal came.
func stopOnSignals(cancel context.CancelFunc) (stopped func() bool) {
	var came atomic.Bool
	signals := make(chan os.Signal, 2)
	signal.Notify(signals, os.Interrupt, syscall.SIGTERM)
	go func() {
		<-signals
		came.Store(true)
		cancel()
		select {
		case <-signals:
			os.Exit(codeInterrupted)
		case <-time.After(grace):
			exitInterrupted()
		}
	}()
	return came.Load
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
