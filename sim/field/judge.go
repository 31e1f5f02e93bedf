package field

import (
	"runtime"

	"afterchord/acoustics/hearing"
)

// batchFrames is how many frames go to an ear at once: long enough that handing over
// costs nothing, short enough that a batch stays in the cache.
const batchFrames = 64

// judge asks the ear about each frame. Frames are handed over in batches to as many ears
// as there are cores; each batch knows its place, so that results do not depend on the cores.
type judge struct {
	f       *Field
	filling *batch
	free    chan *batch
	full    chan *batch
	ears    int
}

// batch is a run of frames and what the ear makes of them.
type batch struct {
	start, n       int // first frame, number of frames
	now, old       []float64
	share, clarity [batchFrames]float32
}

func newJudge(f *Field) *judge {
	ears := runtime.GOMAXPROCS(0)
	j := &judge{f: f, ears: ears, free: make(chan *batch, 2*ears+1), full: make(chan *batch, 2*ears+1)}
	n := batchFrames * f.Model.N()
	for range cap(j.free) {
		j.free <- &batch{now: make([]float64, 0, n), old: make([]float64, 0, n)}
	}
	for range ears {
		go ear{f: f, work: f.Model.NewWork()}.listen(j.full, j.free)
	}
	return j
}

// frame takes the next frame.
func (j *judge) frame(now, old []float64) {
	b := j.filling
	if b == nil {
		b = j.take()
		b.start, b.now, b.old = len(j.f.HeardShare), b.now[:0], b.old[:0]
		j.filling = b
	}
	b.now, b.old, b.n = append(b.now, now...), append(b.old, old...), b.n+1
	j.f.HeardShare = append(j.f.HeardShare, 1) // a place for the answer
	j.f.Clarity = append(j.f.Clarity, 1)
	if b.n == batchFrames {
		j.full <- b
		j.filling = nil
	}
}

// take waits for a batch, puts its answers in their places and empties it.
func (j *judge) take() *batch {
	b := <-j.free
	copy(j.f.HeardShare[b.start:], b.share[:b.n])
	copy(j.f.Clarity[b.start:], b.clarity[:b.n])
	b.n = 0
	return b
}

// close waits for the last answers.
func (j *judge) close() {
	if j.filling != nil {
		j.full <- j.filling
	}
	close(j.full)
	for range cap(j.free) {
		j.take()
	}
}

// ear judges batches.
type ear struct {
	f    *Field
	work *hearing.Work
}

func (e ear) listen(full <-chan *batch, done chan<- *batch) {
	n := e.f.Model.N()
	for b := range full {
		for i := range b.n {
			b.share[i], b.clarity[i] = e.frame(b.now[i*n:(i+1)*n], b.old[i*n:(i+1)*n])
		}
		done <- b
	}
}

// unheard is the loudness below which there is nothing to hear, sone.
const unheard = 1e-3

// frame is the heard share and the clarity of one frame.
func (e ear) frame(now, old []float64) (share, clarity float32) {
	if silent(now) {
		return 1, 1
	}
	part, alone, left := e.f.Model.Beside(now, old, e.f.Noise, e.work)
	if alone <= unheard {
		return 1, 1
	}
	share, clarity = float32(min(1, part/alone)), 1
	if part+left > 0 {
		clarity = float32(part / (part + left))
	}
	return share, clarity
}

// silent reports whether nothing in p reaches -30 dB re 20 µPa, where no ear hears anything.
func silent(p []float64) bool {
	for _, v := range p {
		if v > 1e-3 {
			return false
		}
	}
	return true
}
