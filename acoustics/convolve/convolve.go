// Package convolve convolves sound with long responses in a stream: any number of mono inputs,
// each with its own stereo response, and one more response that all of them share.
//
// The response is cut into partitions as long as a block; each block of input is transformed once, multiplied
// with every partition, and the sum transformed back (uniformly partitioned overlap-save: Stockham 1966;
// Wefers 2015, Partitioned Convolution Algorithms for Real-Time Auralization, ch. 5). Where
// a short block is asked for, what lies beyond a long block is left to a second level of
// long partitions (Gardner 1995); where only the shared response is long, the others are left to a level of
// short partitions, and the sum of the inputs alone goes through long ones.
package convolve

import (
	"errors"
	"fmt"
	"runtime"
)

// Response is a stereo impulse response; L and R may differ in length.
type Response struct{ L, R []float64 }

func (r Response) len() int { return max(len(r.L), len(r.R)) }

// Options of a Convolver.
type Options struct {
	// Block is the number of samples handed in at a time, a power of two >= 4.
	// 0: DefaultBlock, the fastest.
	Block int
	// Single computes in float32: noise about 130 dB below the sound, half the memory.
	Single bool
	// Apart is how many of the inputs, the last ones, are heard through their own response alone.
	Apart int
	// Workers is the number of goroutines, 0: one for each processor. The
	// result does not depend on it.
	Workers int
}

// DefaultBlock is the block of least cost for responses of 4 to 12 s at 48 kHz (see the
// benchmark of this package); longBlock is the second level's where Block is shorter.
const (
	DefaultBlock = 1 << 17
	longBlock    = 1 << 15
	maxBlock     = 1 << 20
)

// Convolver is a running convolution. It is not safe for concurrent use.
type Convolver struct {
	block  int
	inputs int
	run    run
}

// run is what computes: a block of output from one of each input.
type run interface {
	process(l, r []float64, in [][]float64)
	reset()
}

// New plans the convolution of len(own) inputs, input i with own[i] and the sum of all but those apart
// with shared. Empty responses are silent.
func New(own []Response, shared Response, o Options) (*Convolver, error) {
	if o.Block == 0 {
		o.Block = DefaultBlock
	}
	if o.Workers <= 0 {
		o.Workers = runtime.GOMAXPROCS(0)
	}
	switch {
	case len(own) == 0:
		return nil, errors.New("convolve: no input")
	case o.Apart < 0 || o.Apart > len(own):
		return nil, fmt.Errorf("convolve: %d inputs apart of %d", o.Apart, len(own))
	case o.Block < 4 || o.Block > maxBlock || o.Block&(o.Block-1) != 0:
		return nil, fmt.Errorf("convolve: block of %d samples: expected a power of two from 4 to %d", o.Block, maxBlock)
	}
	c := &Convolver{block: o.Block, inputs: len(own)}
	if o.Single {
		c.run = newRun[float32](own, shared, o)
	} else {
		c.run = newRun[float64](own, shared, o)
	}
	return c, nil
}

func newRun[T real](own []Response, shared Response, o Options) run {
	if s := newSplit[T](own, shared, o); s != nil {
		return s
	}
	return newEngine[T](own, shared, o)
}

// Block is the number of samples of each call of Process.
func (c *Convolver) Block() int { return c.block }

// Process takes one block of each input (nil for a silent one) and puts the block of output of the same
// moment into l and r. All are Block samples long.
func (c *Convolver) Process(l, r []float64, in ...[]float64) error {
	if len(in) != c.inputs {
		return fmt.Errorf("convolve: %d inputs given, %d planned", len(in), c.inputs)
	}
	if len(l) != c.block || len(r) != c.block {
		return fmt.Errorf("convolve: output of %d and %d samples, block of %d", len(l), len(r), c.block)
	}
	for i, x := range in {
		if x != nil && len(x) != c.block {
			return fmt.Errorf("convolve: input %d has %d samples, block of %d", i, len(x), c.block)
		}
	}
	c.run.process(l, r, in)
	return nil
}

// Reset forgets the sound so far.
func (c *Convolver) Reset() { c.run.reset() }

// engine is one or two levels of partitions.
type engine[T real] struct {
	near *level[T] // blocks as they come
	far  *level[T] // long blocks, for the response from longBlock on; nil where not needed

	in     [][]float64 // the long block being gathered
	heard  []bool      // whether anything but silence was gathered
	views  [][]float64
	filled int
	l, r   []float64 // what the far level gives for the long block under way
}

func newEngine[T real](own []Response, shared Response, o Options) *engine[T] {
	longest := shared.len()
	for _, r := range own {
		longest = max(longest, r.len())
	}
	e := &engine[T]{}
	if o.Block >= longBlock || longest <= 4*o.Block || longest <= longBlock {
		e.near = newLevel[T](own, shared, o.Block, 0, longest, o)
		return e
	}
	e.near = newLevel[T](own, shared, o.Block, 0, longBlock, o)
	e.far = newLevel[T](own, shared, longBlock, longBlock, longest, o)
	e.in = make([][]float64, len(own))
	for i := range e.in {
		e.in[i] = make([]float64, longBlock)
	}
	e.heard, e.views = make([]bool, len(own)), make([][]float64, len(own))
	e.l, e.r = make([]float64, longBlock), make([]float64, longBlock)
	return e
}

func (e *engine[T]) process(l, r []float64, in [][]float64) {
	e.near.process(l, r, in)
	if e.far == nil {
		return
	}
	b, at := len(l), e.filled
	for i, v := range e.l[at : at+b] {
		l[i] += v
	}
	for i, v := range e.r[at : at+b] {
		r[i] += v
	}
	for i, x := range in {
		if x == nil {
			clear(e.in[i][at : at+b])
		} else {
			copy(e.in[i][at:], x)
			e.heard[i] = true
		}
	}
	if e.filled += b; e.filled < longBlock {
		return
	}
	e.filled = 0
	for i := range e.views {
		e.views[i] = nil
		if e.heard[i] {
			e.views[i] = e.in[i]
		}
		e.heard[i] = false
	}
	e.far.process(e.l, e.r, e.views)
}

func (e *engine[T]) reset() {
	e.near.reset()
	if e.far != nil {
		e.far.reset()
		clear(e.l)
		clear(e.r)
		e.filled = 0
		clear(e.heard)
	}
}
