package field

import (
	"context"
	"math"
	"slices"

	"afterchord/acoustics/octave"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
)

// onsetTogetherS is how far apart keys may go down and still count as one chord.
const onsetTogetherS = 0.03

// ctxCheckFrames is the number of frames between checks for cancellation.
const ctxCheckFrames = 256

// engine steps a hall through a piece frame by frame.
type engine struct {
	h    *Hall
	f    *Field
	step float64

	sounding  []int       // per division: pipes speaking or fading
	speaking  [][]float64 // per division: steady power of the pipes that sound, pW per auditory band
	fading    [][]float64 // per division: scratch, pipes whose pallets have shut
	rising    []riser
	releasing []releaser
	tail      [maxTerms][]float64   // all that is in the room's decay
	residue   [maxTerms][]float64   // the part of it that pipes now silent have left
	decay     [maxTerms][]float64   // per auditory band, what a frame leaves
	filling   [][maxTerms][]float64 // per division and auditory band, what a frame puts in for every pW
	boxes     []boxState
	opening   []opening   // the same
	direct    [][]float64 // per division, of an open case
	strokes   []stroke
	ended     [maxTerms][]float64 // what an ensemble has put into the room when its pallets shut
	rows      []float32           // the rest of a piece that row cuts from
	lapses    *lapses
	kept      kept

	starts, ends  queue   // of the strokes whose keys are down by now
	coming, snap  int     // the chord and the onset that come next
	loudest, peak float64 // the most that has reached the seat, and since the last checkpoint, (20 µPa)²
	base          *Field  // another run, see pass; nil for none
}

// stroke is an ensemble that sounds once.
type stroke struct {
	ensemble  *ensemble
	onS, offS float64
	rising    int32 // 1 + its index in rising; 0 while it is not there
	begun     bool
}

// riser is an ensemble whose attack is under way.
type riser struct {
	stroke   int32
	ensemble *ensemble
	phase    int
	table    [][]float64 // rows to come, see begun
}

// releaser is an ensemble after its pallets have shut.
type releaser struct {
	ensemble *ensemble
	release  *release
	left     octave.Bands // of each octave in the frame to come, 0 where it is nothing
}

// Run steps the performance's events through the hall until the tail has fallen below
// the background noise or by 60 dB, whichever comes first. It errs only where ctx ends before.
func Run(ctx context.Context, h *Hall, events []pipework.Event, p *performance.Performance) (*Field, error) {
	return run(ctx, nil, h, events, p, true)
}

// RunUnheard is [Run] for those who need no HeardShare and Clarity, which are nil: the ear is not asked about the frames, a
// good part of the work.
func RunUnheard(ctx context.Context, h *Hall, events []pipework.Event, p *performance.Performance) (*Field, error) {
	return run(ctx, nil, h, events, p, false)
}

// RunBeside is [RunUnheard] for a piece much like that of base, a run in the same hall with a memory ([Hall.Remembering]): what sounds as it did
// there is taken over and only the rest is computed, to the same bits. Where base is of another hall, or nil, all of it is.
func RunBeside(ctx context.Context, base *Field, h *Hall, events []pipework.Event, p *performance.Performance) (*Field, error) {
	return run(ctx, base, h, events, p, false)
}

func run(ctx context.Context, base *Field, h *Hall, events []pipework.Event, p *performance.Performance, heard bool) (*Field, error) {
	f := &Field{Hall: h, Model: h.Model, Events: events, Noise: h.Noise, StepS: Step}
	f.byNote = groupByNote(events, len(p.Notes))
	f.Onsets = onsets(h, p)
	e := newEngine(h, f)
	e.gatherChords()
	if h.memo != nil {
		f.trail = newTrail(e.frames())
	}
	if f.trail != nil && base != nil && base.trail != nil && base.Hall.ensembles == h.ensembles {
		e.base, f.trail.every = base, base.trail.every
	}
	if err := e.run(ctx, heard); err != nil {
		return nil, err
	}
	return f, nil
}

// groupByNote lists the events of each note, sharing one backing array.
func groupByNote(events []pipework.Event, notes int) [][]int32 {
	count := make([]int, notes+1)
	for _, e := range events {
		count[e.Note+1]++
	}
	for i := 1; i <= notes; i++ {
		count[i] += count[i-1]
	}
	all := make([]int32, len(events))
	at := slices.Clone(count)
	for i, e := range events {
		all[at[e.Note]] = int32(i)
		at[e.Note]++
	}
	out := make([][]int32, notes)
	for i := range out {
		out[i] = all[count[i]:count[i+1]]
	}
	return out
}

// onsets groups the notes by the time their keys go down.
func onsets(h *Hall, p *performance.Performance) []Onset {
	var out []Onset
	for i, n := range p.Notes {
		heard := h.HeardAt(n.Division, n.OnS)
		if k := len(out) - 1; k >= 0 && n.OnS-out[k].KeyS < onsetTogetherS {
			out[k].Notes = append(out[k].Notes, int32(i))
			out[k].HeardS = min(out[k].HeardS, heard)
			continue
		}
		out = append(out, Onset{KeyS: n.OnS, HeardS: heard, Notes: []int32{int32(i)}})
	}
	return out
}

func newEngine(h *Hall, f *Field) *engine {
	n := h.Model.N()
	e := &engine{h: h, f: f, step: f.StepS, lapses: h.newLapses()}
	divisions := len(h.Organ.Divisions)
	plane := planes(n, 5*divisions+4*maxTerms+divisions*h.terms)
	e.boxes, e.sounding = make([]boxState, divisions), make([]int, divisions)
	for d := range divisions {
		e.speaking, e.fading = append(e.speaking, plane()), append(e.fading, plane())
		e.opening, e.direct = append(e.opening, opening{plane(), plane()}), append(e.direct, plane())
		copy(e.direct[d], h.direct[d])
	}
	for t := range e.tail {
		e.tail[t], e.residue[t], e.decay[t], e.ended[t] = plane(), plane(), plane(), plane()
		for b := range e.decay[t] {
			e.decay[t][b] = math.Exp(-h.rate[b][t] * e.step)
		}
	}
	for d := range divisions {
		var filling [maxTerms][]float64
		for t := range h.terms {
			filling[t] = plane()
			for b, left := range e.decay[t] {
				filling[t][b] = (1 - left) * h.gain[d][b][t]
			}
		}
		e.filling = append(e.filling, filling)
	}
	return e
}

func (e *engine) run(ctx context.Context, heard bool) error {
	f, h := e.f, e.h
	n := h.Model.N()
	plane := planes(n, 2+len(e.speaking))
	now, old := plane(), plane()
	lacking := make([][]float64, len(e.speaking))
	for d := range lacking {
		lacking[d] = plane()
	}
	var judge *judge
	if heard {
		judge = newJudge(f)
		defer judge.close()
	}
	frames := e.frames()
	f.LevelDB, f.ResidueDB = make([]float32, 0, frames), make([]float32, 0, frames)
	if heard {
		f.HeardShare, f.Clarity = make([]float32, 0, frames), make([]float32, 0, frames)
	}
	floor := 0.0
	for _, v := range f.Noise {
		floor += v
	}
	moving := !h.still()
	for d := range e.boxes {
		e.boxes[d] = h.boxAt(d, 0)
		e.opening[d].set(h, &e.boxes[d])
	}
	for frame := 0; ; frame++ {
		if frame%ctxCheckFrames == 0 && ctx.Err() != nil {
			return ctx.Err()
		}
		if frame%settleFrames == 0 {
			e.settle()
			if f.trail != nil && frame%f.trail.every == 0 {
				frame = e.pass(frame)
			}
		}
		t0 := float64(frame) * e.step
		t1 := t0 + e.step
		mid := t0 + e.step/2
		if moving {
			for d := range e.boxes {
				if box := h.boxAt(d, mid-h.Paths[d].DelayS); box != e.boxes[d] {
					e.boxes[d] = box
					e.opening[d].set(h, &box)
				}
			}
		}
		for ; e.coming < len(f.chords) && f.chords[e.coming].OnS < t1; e.coming++ {
			x := &f.chords[e.coming]
			if speaks := e.speaks(x); speaks != nil {
				e.strokes = append(e.strokes, stroke{ensemble: speaks, onS: x.OnS, offS: x.OffS})
				e.queue(len(e.strokes) - 1)
			}
		}
		for len(e.starts) > 0 && e.starts[0].at < t1 {
			e.begin(e.starts.pop(), t0)
		}
		for len(e.ends) > 0 && e.ends[0].at < t1 {
			e.finish(e.ends.pop(), t0)
		}
		if heard {
			now, old = judge.this.now, judge.this.old
		}
		e.sum(lacking)
		e.flow(lacking, now, old)
		sounds, left := 0.0, 0.0
		for b, v := range now {
			sounds += v
			left += old[b]
		}
		total := sounds + left
		f.LevelDB = append(f.LevelDB, frameDB(sounds))
		f.ResidueDB = append(f.ResidueDB, frameDB(left))
		if heard {
			judge.frame()
		}
		for e.snap < len(f.Onsets) && f.Onsets[e.snap].HeardS+snapshotS <= t1 {
			e.snapshot(e.snap, frame)
			e.snap++
		}
		e.keep(now, old, frame)
		e.loudest, e.peak = max(e.loudest, total), max(e.peak, total)
		quiet := total < floor*0.1 || total < e.loudest*1e-6
		if e.coming == len(f.chords) && len(e.starts) == 0 && len(e.ends) == 0 && e.snap == len(f.Onsets) && quiet {
			break
		}
	}
	e.kept.close(f)
	return nil
}

// frames is about how many frames there will be: until the last pallet has shut, and the decay of the room.
func (e *engine) frames() int {
	until := 0.0
	for i := range e.f.chords {
		until = max(until, e.f.chords[i].OffS)
	}
	return int((until + e.h.Room.RT(500)) / e.step)
}
