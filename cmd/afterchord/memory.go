package main

import (
	"os"
	"runtime"
	"runtime/debug"
	"runtime/metrics"

	"afterchord/cmd/internal/heap"
)

const (
	// heapLimit is how much memory one run takes before the collector tidies more often, bytes.
	heapLimit = 208 << 20
	// heapRoom is how much more than what is in use a larger run may take, bytes: with less the collector would be at work all the time.
	heapRoom = 24 << 20
	// heapTidy is how much of the heap must be in use for it to be tidied between two large steps, bytes.
	heapTidy = 64 << 20
	// firstTidy is how many times the usual the heap of a run may be when the collector first acts: a short piece ends before.
	firstTidy = 16
)

// limitHeap keeps the memory of a command that makes one run and ends near what it has in use: two hours with their sound take less than
// 300 MB. What the user has set by GOMEMLIMIT or GOGC goes first.
func limitHeap() {
	if os.Getenv("GOGC") == "" {
		usual := debug.SetGCPercent(100 * firstTidy)
		afterCollection(func() { debug.SetGCPercent(usual) })
	}
	if os.Getenv("GOMEMLIMIT") == "" {
		debug.SetMemoryLimit(heapLimit)
		afterCollection(followHeap)
	}
}

// followHeap sets the limit by what the last collection has left, after each.
func followHeap() {
	live := []metrics.Sample{{Name: "/gc/heap/live:bytes"}}
	metrics.Read(live)
	if live[0].Value.Kind() != metrics.KindUint64 {
		return
	}
	debug.SetMemoryLimit(max(heapLimit, int64(live[0].Value.Uint64())+heapRoom))
	afterCollection(followHeap)
}

// tidyHeap gives back what a large step has left, before the next one takes its own.
func tidyHeap() {
	used := []metrics.Sample{{Name: "/memory/classes/heap/objects:bytes"}}
	metrics.Read(used)
	if used[0].Value.Kind() == metrics.KindUint64 && used[0].Value.Uint64() > heapTidy {
		heap.SmallPages()
		debug.FreeOSMemory()
	}
}

// afterCollection calls f after the next collection.
func afterCollection(f func()) { runtime.AddCleanup(new([64]byte), func(f func()) { f() }, f) }
