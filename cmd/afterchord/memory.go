package main

import (
	"os"
	"runtime/debug"
)

// heapLimit is how much memory one run takes before the collector tidies more often, bytes: a piece of
// two hours stays below 400 MB with it. It is soft: what a run needs it gets.
const heapLimit = 352 << 20

// idle is never touched, so that it takes addresses and no memory; the collector, which waits until the heap has doubled, has
// nothing to do in a short piece for it: a tenth of its time.
//
//lint:ignore U1000 it is there to be held, not to be read
var idle []byte

const idleBytes = 32 << 20

// heapStart is how much of the heap a run takes in large pages where the system has them, bytes: a short piece takes no more, and a third
// of its time would go into asking for it page by page.
const heapStart = 64 << 20

// limitHeap sets heapLimit for a command that makes one run and ends. A GOMEMLIMIT of the
// user's goes first.
func limitHeap() {
	if os.Getenv("GOMEMLIMIT") == "" {
		idle = make([]byte, idleBytes)
		debug.SetMemoryLimit(heapLimit + idleBytes)
		inLargePages(heapStart)
	}
}
