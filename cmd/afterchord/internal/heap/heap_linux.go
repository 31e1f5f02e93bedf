package heap

import (
	"runtime"
	"syscall"
	"unsafe"
)

// start is how much of the heap is taken in large pages where the system has them, bytes: a short piece takes less, and touched one small
// page at a time it would cost a third of the run.
const start = 64 << 20

const largePage = 2 << 20

// Advice of madvise(2); collapse is known since Linux 6.1, and refused before.
const (
	hugePage   = 14
	noHugePage = 15
	collapse   = 25
)

// first is where the pages begin that init has asked for.
var first uintptr

// The system is asked for a piece of the heap that is given back at once; the little that is in use already lies before it.
// Where there are no large pages, nothing changes.
func init() {
	first = uintptr(unsafe.Pointer(new([64]byte))) &^ (largePage - 1)
	piece := make([]byte, start)
	advise(first, start+2*largePage, hugePage)
	advise(first, largePage, collapse)
	runtime.KeepAlive(piece)
	piece = nil
	runtime.GC()
}

// SmallPages lets the system take back what a large heap has free, page by page: of large pages it keeps the whole.
func SmallPages() { advise(first, start+2*largePage, noHugePage) }

func advise(at, n uintptr, advice uintptr) {
	_, _, _ = syscall.Syscall(syscall.SYS_MADVISE, at, n, advice)
}
