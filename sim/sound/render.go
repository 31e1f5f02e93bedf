package sound

import (
	"context"
	"fmt"
	"math"
	"runtime"

	"afterchord/acoustics/convolve"
	"afterchord/acoustics/parallel"
	"afterchord/voicing"
)

const (
	// block is the stretch computed at a time, samples; segments of it are mixed in parallel.
	block   = convolve.DefaultBlock
	segment = 16384
	// firstBlock is the stretch in which the beginning is computed, so that a reader need not wait for all of it: a third of a second.
	firstBlock = segment
	// lastHeard is how much of the end of a stretch tells whether what rings is over, samples.
	lastHeard = 32768
	// silenceDB ends the tail: the sound is over when it has fallen so far below the loudest peak.
	silenceDB = -100
)

// Render computes the job in order and hands it to sink in blocks of interleaved stereo
// samples, 1 being full scale (Job.FullScaleDB); a limiter holds what would pass it, and the report says for how
// long. The block is only valid during the call. progress, if not nil, is told the seconds done and
// the seconds in all. An error of sink or of ctx ends it.
func Render(ctx context.Context, job Job, sink func(block []float32) error, progress func(done, total float64)) (Report, error) {
	if job.FullScaleDB == 0 {
		job.FullScaleDB = DefaultFullScaleDB
	}
	lim := newLimiter(job.Rate)
	scale := math.Pow(10, -job.FullScaleDB/20)
	rep, err := render(ctx, job, func(l, r []float64) error {
		return sink(lim.process(l, r, scale))
	}, progress)
	if err != nil {
		return rep, err
	}
	if last := lim.flush(); len(last) > 0 {
		if err := sink(last); err != nil {
			return rep, err
		}
	}
	rep.FullScaleDB = job.FullScaleDB
	rep.PeakDBFS = 20 * math.Log10(lim.peak)
	rep.LimitedS = float64(lim.limited) / float64(job.Rate)
	return rep, nil
}

// renderer is one job under way.
type renderer struct {
	job   *Job
	pipe  func(voicing.PipeID) voicing.Pipe
	at    int64 // first sample of the stretch under way
	n     int   // its length: a whole number of segments
	next  int   // event to be admitted
	cache cache
	wind  windTables
	ids   []voicing.PipeID
	buses []bus
	tasks []task
}

// task is one stretch of one bus.
type task struct{ bus, segment int }

// render computes the pressure at the seat in units of 20 µPa, left and right.
func render(ctx context.Context, job Job, emit func(l, r []float64) error, progress func(done, total float64)) (Report, error) {
	if err := job.check(); err != nil {
		return Report{}, err
	}
	r := newRenderer(&job)
	// The responses are computed while the first stretch is mixed.
	ctx, over := context.WithCancel(ctx)
	defer over()
	halls := make(chan *hall, 1)
	boxed := r.boxed()
	go func() { halls <- job.hall(ctx, boxed) }()
	in := make([][]float64, len(r.buses)+len(boxed))
	first := r.mixed(in)
	h := <-halls
	if err := ctx.Err(); err != nil {
		return Report{}, err
	}
	if h.err != nil {
		return Report{}, fmt.Errorf("sound: %w", h.err)
	}
	lastOff := 0.0
	for _, e := range job.Events {
		lastOff = math.Max(lastOff, e.OffS)
	}
	total := lastOff + float64(h.tail)/float64(job.Rate)
	rep := Report{Rate: job.Rate}
	meter := newLevelMeter(job.Rate)
	out := outlet{emit: func(l, r []float64) error {
		meter.add(l, r)
		if len(l) > 0 {
			if err := emit(l, r); err != nil {
				return err
			}
		}
		rep.Frames += int64(len(l))
		if progress != nil {
			progress(math.Min(float64(rep.Frames)/float64(job.Rate), total), total)
		}
		return nil
	}}
	defer func() { _ = out.settled() }() // nothing is handed out once this has returned
	// The first stretches are computed one after the other, so that they come as soon as they can.
	take, stop := func() stretch { return r.mixed(in) }, func() {}
	defer func() { stop() }()
	var left, right, spareLeft, spareRight []float64
	var end ending
	for s := first; ; s = take() {
		if err := ctx.Err(); err != nil {
			return rep, err
		}
		rep.PeakPipes = max(rep.PeakPipes, s.pipes)
		l, rt := sized(&left, s.n), sized(&right, s.n)
		if err := h.process(l, rt, s.in); err != nil {
			return rep, fmt.Errorf("sound: %w", err)
		}
		n, over := end.reached(s.over, h, l, rt)
		if err := out.settled(); err != nil {
			return rep, err
		}
		out.hand(l[:n], rt[:n])
		left, right, spareLeft, spareRight = spareLeft, spareRight, left, right
		if s.n < block || over || r.job.workers() == 1 {
			if err := out.settled(); err != nil {
				return rep, err
			}
		}
		if over {
			break
		}
		if h.first == nil && s.n < block && r.job.workers() > 1 {
			take, stop = r.aheadOfTime(len(in))
		}
	}
	stop()
	rep.DurationS = float64(rep.Frames) / float64(job.Rate)
	rep.Pipes = len(r.cache.spoken)
	rep.PeakDBFS = 20 * math.Log10(end.peak)
	rep.LoudestDB, rep.LoudestAtS = meter.loudest()
	if progress != nil {
		progress(total, total)
	}
	return rep, nil
}

// ending finds where the sound is over.
type ending struct {
	peak  float64 // so far
	quiet int     // samples since the last voice
}

// reached says whether the sound ends in the stretch just computed, in which silent says that no pipe sounds or will, and how much of it still
// sounds.
func (e *ending) reached(silent bool, h *hall, left, right []float64) (n int, over bool) {
	e.peak = max(e.peak, largest(left), largest(right))
	n = len(left)
	if !silent {
		return n, false
	}
	// What rings now only falls, but for beats in the bass: the last samples tell.
	e.quiet += n
	limit := e.peak * math.Pow(10, silenceDB/20.)
	last := max(0, n-lastHeard)
	if max(largest(left[last:]), largest(right[last:])) <= limit && e.quiet > h.gap || e.quiet > h.tail+2*block {
		return lastAbove(left, right, limit), true
	}
	return n, false
}

func newRenderer(job *Job) *renderer {
	r := &renderer{job: job, pipe: job.pipe}
	if r.pipe == nil {
		r.pipe = job.Organ.Pipe
	}
	r.cache = cache{bound: job.CacheBytes, entries: map[voicing.PipeID]*kept{}, spoken: map[voicing.PipeID]struct{}{}}
	if r.cache.bound <= 0 {
		r.cache.bound = pipesKept
	}
	r.buses = make([]bus, len(job.Organ.Divisions))
	for i := range r.buses {
		d := &job.Organ.Divisions[i]
		r.buses[i] = bus{
			division: i,
			plain:    make([]float32, block),
			out:      make([]float64, block),
			origin:   job.Origin,
		}
		b := &r.buses[i]
		if job.Dry {
			b.box = newBox(d, i, job.Box, 0, job.Rate)
		} else if b.box = newBox(d, i, job.Box, job.ahead(i), job.Rate); b.box != nil && job.Room.Measured == nil {
			b.ahead = make([]float64, block)
		}
		if len(d.Stops) > 0 {
			b.breath = newBreath(uint64(job.Organ.Seed)<<8+uint64(i), job.Rate, newSag(job.Organ, i, job.Rate))
			b.calm = b.breath.sound()
		}
	}
	return r
}

// boxed are the divisions whose direct sound goes its own way.
func (r *renderer) boxed() (out []int) {
	for i := range r.buses {
		if r.buses[i].ahead != nil {
			out = append(out, i)
		}
	}
	return out
}

// admit makes voices of the events whose pallets open before the block ends, and drops those that are over.
func (r *renderer) admit() {
	start := r.at
	end := start + int64(r.n)
	for i := range r.buses {
		b := &r.buses[i]
		b.voices, b.shaken = alive(b.voices, start), alive(b.shaken, start)
	}
	first := r.next
	r.ids = r.ids[:0]
	for ; r.next < len(r.job.Events); r.next++ {
		e := &r.job.Events[r.next]
		if r.sample(e.OnS) >= end {
			break
		}
		r.ids = append(r.ids, e.Pipe)
	}
	r.load(r.ids)
	for i := first; i < r.next; i++ {
		e := &r.job.Events[i]
		v := newVoice(r.cache.entries[e.Pipe].sound, r.sample(e.OnS), r.sample(e.OffS), r.job.Origin)
		if v.end <= v.start {
			continue
		}
		b := &r.buses[e.Pipe.Division]
		if e.Tremulant && b.tremulant == nil {
			if b.tremulant = newTremulant(&r.job.Organ.Divisions[b.division], r.job.Rate); b.tremulant != nil {
				b.tremulous, b.aside = make([]float32, block), make([]float64, block)
				if b.breath != nil {
					b.shaking = b.breath.sound()
				}
			}
		}
		if e.Tremulant && b.tremulant != nil {
			b.shaken = append(b.shaken, v)
		} else {
			b.voices = append(b.voices, v)
		}
	}
}

func (r *renderer) sample(s float64) int64 { return int64(math.Round(s * float64(r.job.Rate))) }

// mix computes every bus of the block; in receives them, nil for a silent one.
func (r *renderer) mix(in [][]float64) {
	r.tasks = r.tasks[:0]
	for i := range r.buses {
		if b := &r.buses[i]; len(b.voices)+len(b.shaken) > 0 {
			for s := range r.n / segment {
				r.tasks = append(r.tasks, task{i, s})
			}
		}
	}
	start := r.at
	r.parallel(len(r.tasks), func(i int) {
		t := r.tasks[i]
		b := &r.buses[t.bus]
		from := t.segment * segment
		r.fill(b.plain[from:from+segment], start+int64(from), b.voices, b.division)
		if b.tremulant != nil {
			r.fill(b.tremulous[from:from+segment], start+int64(from), b.shaken, b.division)
		}
	})
	apart := make([]int, len(r.buses)) // where what goes straight ahead is handed in
	next := len(r.buses)
	for i := range r.buses {
		if r.buses[i].ahead != nil {
			apart[i] = next
			next++
		}
	}
	r.parallel(len(r.buses), func(i int) {
		around, ahead := r.buses[i].finish(start, r.n)
		in[i] = around
		if apart[i] > 0 {
			in[apart[i]] = ahead
		}
	})
}

// fill mixes the stretch of voices, in their order.
func (r *renderer) fill(dst []float32, at int64, voices []voice, division int) {
	clear(dst)
	for k := range voices {
		voices[k].mix(dst, at)
	}
	r.wind.mixWind(dst, at, voices, division)
}

// drained says that no pipe sounds any more.
func (r *renderer) drained() bool {
	for i := range r.buses {
		if b := &r.buses[i]; len(b.voices)+len(b.shaken) > 0 || b.ringing {
			return false
		}
	}
	return true
}

// most is the largest number of pipes that sound in one segment of the block.
func (r *renderer) most() int {
	most := 0
	for s := range r.n / segment {
		from := r.at + int64(s*segment)
		n := 0
		for i := range r.buses {
			for _, list := range [2][]voice{r.buses[i].voices, r.buses[i].shaken} {
				for k := range list {
					if list[k].start < from+segment && list[k].end > from {
						n++
					}
				}
			}
		}
		most = max(most, n)
	}
	return most
}

func (r *renderer) parallel(n int, f func(int)) { parallel.Do(r.job.workers(), n, f) }

func (j *Job) workers() int {
	if j.Workers > 0 {
		return j.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// largestScalar is the largest magnitude in x, which has no NaN.
func largestScalar(x []float64) float64 {
	m := 0.0
	for _, v := range x {
		m = max(m, math.Abs(v))
	}
	return m
}

// lastAbove is the length up to the last sample above limit.
func lastAbove(l, r []float64, limit float64) int {
	n := len(l)
	for n > 0 && math.Abs(l[n-1]) <= limit && math.Abs(r[n-1]) <= limit {
		n--
	}
	return n
}
