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
}

// stroke is an ensemble that sounds once.
type stroke struct {
	ensemble  *ensemble
	onS, offS float64
	rising    int32 // 1 + its index in rising; 0 while it is not there
}

// riser is an ensemble whose attack is under way.
type riser struct {
	stroke   int32
	ensemble *ensemble
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
	return run(ctx, h, events, p, true)
}

// RunUnheard is [Run] for those who need no HeardShare and Clarity, which are nil: the ear is not asked about the frames, a
// good part of the work.
func RunUnheard(ctx context.Context, h *Hall, events []pipework.Event, p *performance.Performance) (*Field, error) {
	return run(ctx, h, events, p, false)
}

func run(ctx context.Context, h *Hall, events []pipework.Event, p *performance.Performance, heard bool) (*Field, error) {
	f := &Field{Hall: h, Model: h.Model, Events: events, Noise: h.Noise, StepS: Step}
	f.byNote = groupByNote(events, len(p.Notes))
	f.Onsets = onsets(h, p)
	e := newEngine(h, f)
	e.gatherChords()
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
	var starts, ends queue // of the pipes whose keys are down by now
	coming, snap := 0, 0
	frames := e.frames()
	f.LevelDB, f.ResidueDB = make([]float32, 0, frames), make([]float32, 0, frames)
	if heard {
		f.HeardShare, f.Clarity = make([]float32, 0, frames), make([]float32, 0, frames)
	}
	floor := 0.0
	for _, v := range f.Noise {
		floor += v
	}
	loudest := 0.0
	moving := !h.still()
	for d := range e.boxes {
		e.boxes[d] = h.boxAt(d, 0)
		e.opening[d].set(h, &e.boxes[d])
	}
	for frame := 0; ; frame++ {
		if frame%ctxCheckFrames == 0 && ctx.Err() != nil {
			return ctx.Err()
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
		for ; coming < len(f.chords) && f.chords[coming].OnS < t1; coming++ {
			x := &f.chords[coming]
			if speaks := e.speaks(x); speaks != nil {
				delay := h.Paths[speaks.division].DelayS
				starts.push(edge{x.OnS + speaks.first + delay, int32(len(e.strokes))})
				ends.push(edge{x.OffS + delay, int32(len(e.strokes))})
				e.strokes = append(e.strokes, stroke{ensemble: speaks, onS: x.OnS, offS: x.OffS})
			}
		}
		for len(starts) > 0 && starts[0].at < t1 {
			e.begin(starts.pop(), t0)
		}
		for len(ends) > 0 && ends[0].at < t1 {
			e.finish(ends.pop(), t0)
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
		for snap < len(f.Onsets) && f.Onsets[snap].HeardS+snapshotS <= t1 {
			e.snapshot(&f.Onsets[snap], frame)
			snap++
		}
		e.keep(now, old, frame)
		loudest = max(loudest, total)
		quiet := total < floor*0.1 || total < loudest*1e-6
		if coming == len(f.chords) && len(starts) == 0 && len(ends) == 0 && snap == len(f.Onsets) && quiet {
			break
		}
	}
	e.kept.close()
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
