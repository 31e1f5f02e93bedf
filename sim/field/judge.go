package field

import (
	"runtime"

	"afterchord/acoustics/hearing"
)

// batchFrames is how many frames go to an ear at once: long enough that handing over
// costs nothing, short enough that a batch stays in the cache.
const batchFrames = 128

// judge asks the ear about the frames that differ from those before; what lies between is interpolated. Frames are handed over
// in batches to as many ears as there are cores; each batch knows its places, so that results do not depend on the cores.
type judge struct {
	f       *Field
	filling *batch
	free    chan *batch
	full    chan *batch
	ears    int

	heard   []int32 // frames that the ear is asked about, in order
	last    *frame  // the last of them
	skipped *frame  // the frame before this one, where the ear was not asked about it
	this    *frame  // now and old are planes, to be filled before frame is called
}

// frame is a frame's powers.
type frame struct {
	now, old        []float64 // (20 µPa)² per auditory band
	sounds, lingers stripes   // of them
	silent          bool      // nothing sounds now
}

// stripes are sums over stripes of bands.
type stripes struct {
	sums  []float64
	least float64 // what does not matter
}

// batch is a number of frames and what the ear makes of them.
type batch struct {
	n              int
	at             [batchFrames]int32 // which frames
	now, old       []float32          // as they enter the ear, one frame behind the other
	share, clarity [batchFrames]float32
}

// Two frames that differ by less than unlike in every stripe of so many bands (one and a half ERB) that matters are not
// told apart: the ear just notices 0.5 to 1 dB at the levels of an organ (Zwicker & Fastl, Psychoacoustics, from
// memory). Beyond mostSkipped frames, 0.1 s, it is asked all the same.
const (
	stripe      = 3
	unlike      = 1.26 // 1 dB
	matters     = 3e-3 // of the loudest stripe: 25 dB down
	mostSkipped = 5
)

func newJudge(f *Field) *judge {
	ears := runtime.GOMAXPROCS(0)
	j := &judge{f: f, ears: ears, free: make(chan *batch, 2*ears+1), full: make(chan *batch, 2*ears+1)}
	bands := f.Model.N()
	for _, x := range []**frame{&j.last, &j.skipped, &j.this} {
		plane, n := planes(bands, 2), (bands+stripe-1)/stripe
		*x = &frame{now: plane(), old: plane(), sounds: stripes{sums: make([]float64, n)}, lingers: stripes{sums: make([]float64, n)}}
	}
	n := batchFrames * f.Model.Inside()
	for range cap(j.free) {
		j.free <- &batch{now: make([]float32, n), old: make([]float32, n)}
	}
	noise := make([]float32, f.Model.Inside())
	f.Model.Enter(noise, f.Noise)
	for range ears {
		go ear{f.Model, noise, f.Model.NewWork()}.listen(j.full, j.free)
	}
	return j
}

// frame takes the next frame, which is in this.
func (j *judge) frame() {
	at := len(j.f.HeardShare)
	j.f.HeardShare = append(j.f.HeardShare, 1) // a place for the answer
	j.f.Clarity = append(j.f.Clarity, 1)
	j.this.sum()
	if n := len(j.heard); n > 0 {
		before := int(j.heard[n-1])
		if at-before < mostSkipped && j.this.like(j.last) {
			j.skipped, j.this = j.this, j.skipped
			return
		}
		if at-before > 1 && !j.this.like(j.skipped) { // a jump: what went before does not lead up to it
			j.ask(at-1, j.skipped)
		}
	}
	j.ask(at, j.this)
	j.last, j.this = j.this, j.last
}

// ask hands a frame to the ears, which have nothing to say of silence.
func (j *judge) ask(at int, x *frame) {
	j.heard = append(j.heard, int32(at))
	if x.silent {
		return
	}
	if j.filling == nil {
		j.filling = j.take()
	}
	b, m := j.filling, j.f.Model
	from := b.n * m.Inside()
	m.Enter(b.now[from:], x.now)
	m.Enter(b.old[from:], x.old)
	b.at[b.n] = int32(at)
	if b.n++; b.n == batchFrames {
		j.full <- b
		j.filling = nil
	}
}

// sum sums up the frame.
func (x *frame) sum() {
	x.silent = silent(x.now)
	x.sounds.sum(x.now)
	x.lingers.sum(x.old)
}

func (s *stripes) sum(power []float64) {
	most := 0.0
	whole := len(power) / stripe
	for i := range s.sums[:whole] {
		p := power[i*stripe : i*stripe+stripe : i*stripe+stripe]
		sum := p[0] + p[1] + p[2]
		s.sums[i] = sum
		if sum > most { // quicker than max, which thinks of what is no number
			most = sum
		}
	}
	if whole < len(s.sums) { // what is left over
		sum := 0.0
		for _, v := range power[whole*stripe:] {
			sum += v
		}
		s.sums[whole] = sum
		most = max(most, sum)
	}
	s.least = max(quietest, most*matters)
}

// like reports whether the ear does not tell the frame from y. What sounds and what is left over count each by itself: the
// one is heard in the other.
func (x *frame) like(y *frame) bool {
	return x.silent == y.silent && x.sounds.like(&y.sounds) && x.lingers.like(&y.lingers)
}

func (s *stripes) like(y *stripes) bool {
	other := y.sums[:len(s.sums)]
	for i, v := range s.sums {
		if w := other[i]; (v > s.least || w > s.least) && (v > unlike*w || w > unlike*v) {
			return false
		}
	}
	return true
}

// take waits for a batch, puts its answers in their places and empties it.
func (j *judge) take() *batch {
	b := <-j.free
	for i, at := range b.at[:b.n] {
		j.f.HeardShare[at], j.f.Clarity[at] = b.share[i], b.clarity[i]
	}
	b.n = 0
	return b
}

// close waits for the last answers and fills in what lies between them.
func (j *judge) close() {
	if j.filling != nil {
		j.full <- j.filling
	}
	close(j.full)
	for range cap(j.free) {
		j.take()
	}
	for i := 1; i < len(j.heard); i++ {
		j.between(int(j.heard[i-1]), int(j.heard[i]))
	}
	if n := len(j.heard); n > 0 { // the last are like the last one heard
		last := j.heard[n-1]
		for at := int(last) + 1; at < len(j.f.HeardShare); at++ {
			j.f.HeardShare[at], j.f.Clarity[at] = j.f.HeardShare[last], j.f.Clarity[last]
		}
	}
}

// between interpolates the frames between two that were heard.
func (j *judge) between(from, to int) {
	for _, x := range [][]float32{j.f.HeardShare, j.f.Clarity} {
		step := (x[to] - x[from]) / float32(to-from)
		for at := from + 1; at < to; at++ {
			x[at] = x[from] + step*float32(at-from)
		}
	}
}

// ear judges batches.
type ear struct {
	model *hearing.Model
	noise []float32 // as it enters the ear
	work  *hearing.Work
}

func (e ear) listen(full <-chan *batch, done chan<- *batch) {
	n := e.model.Inside()
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
func (e ear) frame(now, old []float32) (share, clarity float32) {
	part, alone, left := e.model.BesideInside(now, old, e.noise, e.work)
	if alone <= unheard {
		return 1, 1
	}
	share, clarity = float32(min(1, part/alone)), 1
	if part+left > 0 {
		clarity = float32(part / (part + left))
	}
	return share, clarity
}

// quietest is -30 dB re 20 µPa.
const quietest = 1e-3

// silent reports whether nothing in p reaches -30 dB re 20 µPa, where no ear hears anything.
func silent(p []float64) bool {
	for _, v := range p {
		if v > quietest {
			return false
		}
	}
	return true
}
