package main

import (
	"os"
	"runtime"
	"runtime/debug"

	_ "afterchord/cmd/afterchord/internal/heap"
)

const (
	// heapLimit is how much memory one run takes before the collector tidies more often, bytes: a piece of
	// two hours stays below 400 MB with it. It is soft: what a run needs it gets.
	heapLimit = 352 << 20
	// firstTidy is how many times the usual the heap of a run may be when the collector first acts: a short piece ends before.
	firstTidy = 16
)

// limitHeap sets heapLimit for a command that makes one run and ends. What the user has set by GOMEMLIMIT or GOGC goes first.
func limitHeap() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(heapLimit)
	}
	if os.Getenv("GOGC") == "" {
		usual := debug.SetGCPercent(100 * firstTidy)
		runtime.AddCleanup(new([64]byte), func(p int) { debug.SetGCPercent(p) }, usual)
	}
}
