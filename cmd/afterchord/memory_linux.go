package main

import (
	"runtime"

	"golang.org/x/sys/unix"
)

// inLargePages has the system give the next n bytes of the heap in large pages, as they are touched: it is asked for a piece of the heap that
// is given back at once. Where it has none, nothing changes.
func inLargePages(n int) {
	piece := make([]byte, n)
	_ = unix.Madvise(piece, unix.MADV_HUGEPAGE)
	runtime.KeepAlive(piece)
	runtime.GC()
}
