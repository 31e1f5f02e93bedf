package heap

import (
	"syscall"
	"unsafe"
)

const (
	largePage = 2 << 20
	// reserved is what Reserve asks for, bytes: with the rest of a stack no more than 64 MB, since stacks grow to powers of two.
	reserved = 63 << 20
)

// Advice of madvise(2).
const (
	hugePage   = 14
	noHugePage = 15
)

// span is a piece of the address space.
type span struct{ from, to uintptr }

// large is what was asked for in large pages.
var large span

// begun fills the large page that the runtime has begun to use in small ones before any package is initialised. It is never touched, so
// that it takes addresses and no memory.
var begun []byte

// What every command uses goes into one large page.
func init() {
	const first = 64 << 10 // a piece of its own, whose address is where the free part begins
	begun = make([]byte, first)
	at := uintptr(unsafe.Pointer(unsafe.SliceData(begun))) + first
	next := (at + largePage - 1) &^ (largePage - 1)
	begun = make([]byte, next-at)
	large = span{next, next + largePage}
	large.advise(hugePage)
}

// Reserve makes the next 63 MB of the heap come in large pages. They take no memory before they are used.
func Reserve() {
	if large.to-large.from > largePage {
		return
	}
	top := make(chan uintptr)
	// A stack goes back to the heap with its goroutine, and no collection is needed for it.
	go func() { top <- wide(false) }()
	large.to = <-top &^ (largePage - 1)
	large.advise(hugePage)
}

// wide returns the upper end of its own frame, which takes what is to be reserved and is not written to.
//
//go:noinline
func wide(fill bool) uintptr {
	var top byte
	if fill {
		wideResult()
	}
	return uintptr(unsafe.Pointer(&top))
}

// wideResult is never called: the place for its result is what makes the frame of its caller wide.
//
//go:noinline
func wideResult() (r [reserved]byte) { return r }

// SmallPages lets the system take back what a large heap has free, page by page: of large pages it keeps the whole.
func SmallPages() { large.advise(noHugePage) }

func (s span) advise(advice uintptr) {
	_, _, _ = syscall.Syscall(syscall.SYS_MADVISE, s.from, s.to-s.from, advice)
}
