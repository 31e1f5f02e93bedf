// Package fft holds the Fourier transforms that acoustics is built on: lengths that
// are powers of two, radix 4 (Cooley & Tukey 1965), depth first so that the smaller blocks stay in
// the cache; real and imaginary parts apart.
package fft

import (
	"math"
	"math/bits"
	"sync"
	"unsafe"
	"weak"
)

// Float is the arithmetic of a transform.
type Float interface{ float32 | float64 }

// Plan is a complex transform of one length. It is read-only and may be shared.
type Plan[T Float] struct {
	n    int
	tw   [][]T    // for each stage from the largest: w^j, w^2j, w^3j as re, im, each of block(q) j in a row
	rest *Plan[T] // of a quarter of the length, whose stages follow the first
}

// block is how many roots of a kind stand in a row where the quarters have q points: what goes through one vector instruction.
func block(q int) int { return min(8, q) }

// planKey is what tells plans apart: points, and bytes of a number.
type planKey struct {
	n    int
	size uintptr
}

var (
	plansLock sync.Mutex
	plans     = map[planKey]any{} // a weak.Pointer to each: plans in use are shared, others may go
)

// NewPlan plans for n points, a power of two >= 4.
func NewPlan[T Float](n int) *Plan[T] {
	plansLock.Lock()
	defer plansLock.Unlock()
	return sharedPlan[T](n)
}

func sharedPlan[T Float](n int) *Plan[T] {
	key := planKey{n, unsafe.Sizeof(T(0))}
	if kept, ok := plans[key].(weak.Pointer[Plan[T]]); ok {
		if t := kept.Value(); t != nil {
			return t
		}
	}
	t := &Plan[T]{n: n, tw: [][]T{newStage[T](n)}}
	if n/4 >= 4 {
		t.rest = sharedPlan[T](n / 4)
		t.tw = append(t.tw, t.rest.tw...)
	}
	plans[key] = weak.Make(t)
	return t
}

// newStage is the roots of the stage for blocks of so many points.
func newStage[T Float](size int) []T {
	tw := make([]T, size/4*6)
	roots := NewRoots(size)
	row := block(size / 4)
	for j := range size / 4 {
		at := j/row*row*6 + j%row
		for k := 1; k <= 3; k++ {
			c, s := roots.At(k * j)
			tw[at], tw[at+row] = T(c), T(-s)
			at += 2 * row
		}
	}
	return tw
}

// N is the number of points.
func (t *Plan[T]) N() int { return t.n }

// Order is where Down leaves each frequency: Order()[k] is the place of frequency k.
func (t *Plan[T]) Order() []int32 {
	order := make([]int32, t.n)
	filled, place := 1, int32(t.n)
	for filled < t.n {
		radix := min(4, t.n/filled)
		place /= int32(radix)
		for digit := 1; digit < radix; digit++ {
			for k, p := range order[:filled] {
				order[digit*filled+k] = p + int32(digit)*place
			}
		}
		filled *= radix
	}
	return order
}

// Roots gives e^(2πik/n) from two small tables, to within 1e-15.
type Roots struct{ fine, coarse []complex128 }

const fineRoots = 512

// NewRoots makes the roots of unity of order n.
func NewRoots(n int) Roots {
	r := Roots{make([]complex128, min(n, fineRoots)), make([]complex128, (n+fineRoots-1)/fineRoots)}
	for k := range r.fine {
		s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		r.fine[k] = complex(c, s)
	}
	for k := range r.coarse {
		s, c := math.Sincos(2 * math.Pi * float64(k) * fineRoots / float64(n))
		r.coarse[k] = complex(c, s)
	}
	return r
}

// At is cosine and sine of 2πk/n, 0 <= k < n.
func (r *Roots) At(k int) (cos, sin float64) {
	a, b := r.fine[k%fineRoots], r.coarse[k/fineRoots]
	return real(a)*real(b) - imag(a)*imag(b), real(a)*imag(b) + imag(a)*real(b)
}

// PowerOfTwo is the smallest power of two that is not below n.
func PowerOfTwo(n int) int {
	if n <= 1 {
		return 1
	}
	return 1 << bits.Len(uint(n-1))
}

// Length is the least power of two, 4096 at least, that holds n samples.
func Length(n int) int { return max(1<<12, PowerOfTwo(n)) }
