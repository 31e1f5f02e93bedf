package main

import (
	"os"
	"runtime/debug"
)

// heapLimit is how much memory one run takes before the collector tidies more often, bytes: a piece of
// two hours stays below 400 MB with it. It is soft: what a run needs it gets.
const heapLimit = 352 << 20

// limitHeap sets heapLimit for a command that makes one run and ends. A GOMEMLIMIT of the
// user's goes first.
func limitHeap() {
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(heapLimit)
	}
}
