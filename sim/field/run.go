package field

import (
	"math"
	"slices"

	"afterchord/acoustics/octave"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
)

// snapshotS is how long after an onset the residue is taken: long enough for keys
// let go together with it, short against the decay of any room.
const snapshotS = 0.06

// onsetTogetherS is how far apart keys may go down and still count as one chord.
const onsetTogetherS = 0.03

// maxKept bounds the frames kept after one fall: 20 s, longer than any church's decay.
const maxKept = 20 / 0.02

// rowsAtOnce is how many kept frames are made room for at once.
const rowsAtOnce = 64

// engine steps a hall through a piece frame by frame.
type engine struct {
	h    *Hall
	f    *Field
	step float64

	speaking  [][]float64 // per division: settled pipes' power per auditory band, pW
	fading    [][]float64 // per division: scratch, pipes whose pallets have shut
	rising    []riser
	releasing []releaser
	tail      [maxTerms][]float64 // all that is in the room's decay
	residue   [maxTerms][]float64 // the part of it that pipes now silent have left
	decay     [maxTerms]octave.Bands
	boxes     []octave.Bands
	gone      [maxTerms][]float64 // scratch
	where     []int32             // event -> 1 + its index in rising; 0 while it is not there
	rows      []float32           // the rest of a piece that row cuts from
	spare     [][]float64         // power slices of pipes that have faded, for the next ones
	falls     []*Onset            // whose frames are being kept
}

// riser is a pipe whose attack is under way.
type riser struct {
	event int32
	voice *voice
	phase int
	row   int // next row of the attack table; negative while it has not begun
}

// releaser is a pipe after its pallet has shut.
type releaser struct {
	voice *voice
	power []float64 // per voice band, pW, at the middle of the next frame
	fade  float64   // factor a frame
}

// Run steps the performance's events through the hall until the tail has fallen below
// the background noise or by 60 dB, whichever comes first.
func Run(h *Hall, events []pipework.Event, p *performance.Performance) *Field {
	f := &Field{Hall: h, Model: h.Model, Events: events, Noise: h.Noise, StepS: Step}
	f.byNote = groupByNote(events, len(p.Notes))
	for _, e := range events {
		f.maxLen = max(f.maxLen, e.OffS-e.OnS)
	}
	f.Onsets = onsets(h, p)
	newEngine(h, f).run()
	return f
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
	e := &engine{h: h, f: f, step: f.StepS}
	for range h.Organ.Divisions {
		e.speaking = append(e.speaking, make([]float64, n))
		e.fading = append(e.fading, make([]float64, n))
	}
	e.boxes = make([]octave.Bands, len(h.Organ.Divisions))
	e.where = make([]int32, len(f.Events))
	for t := range e.tail {
		e.tail[t], e.residue[t], e.gone[t] = make([]float64, n), make([]float64, n), make([]float64, n)
		for b := range e.decay[t] {
			e.decay[t][b] = math.Exp(-h.rate[b][t] * e.step)
		}
	}
	return e
}

func (e *engine) run() {
	f, h := e.f, e.h
	n := h.Model.N()
	now, old := make([]float64, n), make([]float64, n)
	rising := make([][]float64, len(e.speaking))
	for d := range rising {
		rising[d] = make([]float64, n)
	}
	judge := newJudge(f)
	var starts, ends queue // of the pipes whose keys are down by now
	coming, snap := 0, 0
	floor := 0.0
	for _, v := range f.Noise {
		floor += v
	}
	loudest := 0.0
	moving := !h.still()
	for d := range e.boxes {
		e.boxes[d] = h.boxGain(d, 0)
	}
	for frame := 0; ; frame++ {
		t0 := float64(frame) * e.step
		t1 := t0 + e.step
		mid := t0 + e.step/2
		if moving {
			for d := range e.boxes {
				e.boxes[d] = h.boxGain(d, mid-h.Paths[d].DelayS)
			}
		}
		for ; coming < len(f.Events) && f.Events[coming].OnS < t1; coming++ {
			x := &f.Events[coming]
			v := h.voice(x.Pipe)
			if x.OffS-x.OnS > v.dead { // else it never speaks
				delay := h.Paths[v.division].DelayS
				starts.push(edge{x.OnS + v.dead + delay, int32(coming)})
				ends.push(edge{x.OffS + delay, int32(coming)})
			}
		}
		for len(starts) > 0 && starts[0].at < t1 {
			e.begin(starts.pop(), t0)
		}
		for len(ends) > 0 && ends[0].at < t1 {
			e.finish(ends.pop(), t0)
		}
		e.sum(rising)
		e.flow(rising, now, old)
		total := 0.0
		for b := range now {
			total += now[b] + old[b]
		}
		f.LevelDB = append(f.LevelDB, float32(DB(now)))
		f.ResidueDB = append(f.ResidueDB, float32(DB(old)))
		judge.frame(now, old)
		for snap < len(f.Onsets) && f.Onsets[snap].HeardS+snapshotS <= t1 {
			e.snapshot(&f.Onsets[snap], frame, t1)
			snap++
		}
		e.keep(now, old, t1)
		loudest = max(loudest, total)
		quiet := total < floor*0.1 || total < loudest*1e-6
		if coming == len(f.Events) && len(starts) == 0 && len(ends) == 0 && snap == len(f.Onsets) && quiet {
			break
		}
	}
	judge.close()
}

// begin starts a pipe's attack in the frame that begins at t0.
func (e *engine) begin(x edge, t0 float64) {
	v := e.h.voice(e.f.Events[x.event].Pipe)
	phase := int((x.at - t0) / e.step * phases)
	phase = min(phases-1, max(0, phase))
	e.rising = append(e.rising, riser{event: x.event, voice: v, phase: phase})
	e.where[x.event] = int32(len(e.rising))
}

// finish shuts a pallet: what the pipe has put into the room becomes residue and the
// pipe itself fades.
func (e *engine) finish(x edge, t0 float64) {
	ev := &e.f.Events[x.event]
	v := e.h.voice(ev.Pipe)
	spoken := ev.OffS - ev.OnS - v.dead
	r := releaser{voice: v, power: e.scratch(len(v.bands)), fade: math.Exp(-2 * v.release * e.step)}
	first := math.Exp(-2 * v.release * max(0, t0+e.step/2-x.at))
	if i := int(e.where[x.event]) - 1; i >= 0 {
		j := 0
		for _, c := range v.parts {
			for v.bands[j] != c.band {
				j++
			}
			r.power[j] += c.power * up(c.rise, spoken) * first
		}
		e.drop(i)
	} else {
		for i, b := range v.bands {
			e.speaking[v.division][b] = max(0, e.speaking[v.division][b]-v.steady[i])
			r.power[i] = v.steady[i] * first
		}
	}
	e.releasing = append(e.releasing, r)
	g := &e.boxes[v.division]
	for t := 0; t < e.h.terms; t++ {
		for _, b := range v.bands {
			e.gone[t][b] = 0
		}
	}
	e.h.leave(&e.gone, v, spoken, g)
	for t := 0; t < e.h.terms; t++ {
		for _, b := range v.bands {
			// taken at the moment the pallet shut; the step below takes it to the frame's end
			k := e.h.rate[e.h.octaveOf[b]][t]
			e.residue[t][b] += e.gone[t][b] * math.Exp(k*(x.at-t0))
		}
	}
}

// scratch is a slice of n zeros, from those that are spare where one is long enough.
func (e *engine) scratch(n int) []float64 {
	if k := len(e.spare) - 1; k >= 0 {
		p := e.spare[k]
		e.spare = e.spare[:k]
		if cap(p) >= n {
			p = p[:n]
			clear(p)
			return p
		}
	}
	return make([]float64, n, e.h.Model.N())
}

// drop removes riser i.
func (e *engine) drop(i int) {
	e.where[e.rising[i].event] = 0
	last := len(e.rising) - 1
	if i != last {
		e.rising[i] = e.rising[last]
		e.where[e.rising[i].event] = int32(i + 1)
	}
	e.rising = e.rising[:last]
}

// sum fills rising with the power of the pipes in attack, moves those that are up to
// speaking, and fills fading with the pipes in release.
func (e *engine) sum(rising [][]float64) {
	for d := range rising {
		clear(rising[d])
		clear(e.fading[d])
	}
	for i := 0; i < len(e.rising); {
		r := &e.rising[i]
		v := r.voice
		table := v.table(r.phase, e.step)
		if (r.row+1)*len(v.bands) > len(table) {
			for j, b := range v.bands {
				e.speaking[v.division][b] += v.steady[j]
			}
			e.drop(i)
			continue
		}
		row := table[r.row*len(v.bands) : (r.row+1)*len(v.bands)]
		for j, b := range v.bands {
			rising[v.division][b] += row[j]
		}
		r.row++
		i++
	}
	kept := e.releasing[:0]
	for _, r := range e.releasing {
		sum := 0.0
		for j, b := range r.voice.bands {
			e.fading[r.voice.division][b] += r.power[j]
			sum += r.power[j]
			r.power[j] *= r.fade
		}
		if sum > 1e-3 { // pW: 30 dB below the threshold of hearing at any seat
			kept = append(kept, r)
		} else {
			e.spare = append(e.spare, r.power)
		}
	}
	clear(e.releasing[len(kept):])
	e.releasing = kept
}

// flow takes the room's decay one frame on and fills now and old with the mean-square
// pressure of what sounds and of what is left over.
func (e *engine) flow(rising [][]float64, now, old []float64) {
	h := e.h
	clear(now)
	clear(old)
	for t := 0; t < h.terms; t++ {
		for b := range e.tail[t] {
			d := e.decay[t][h.octaveOf[b]]
			e.tail[t][b] *= d
			e.residue[t][b] *= d
		}
	}
	for d := range rising {
		gain, direct, box := &h.gain[d], &h.Paths[d].Direct, &e.boxes[d]
		for b, p := range rising[d] {
			p += e.speaking[d][b]
			q := e.fading[d][b]
			if p == 0 && q == 0 {
				continue
			}
			o := h.octaveOf[b]
			p, q = p*box[o], q*box[o]
			now[b] += p * direct[o]
			old[b] += q * direct[o]
			for t := 0; t < h.terms; t++ {
				in := (1 - e.decay[t][o]) * gain[o][t]
				e.tail[t][b] += in * (p + q)
				e.residue[t][b] += in * q
			}
		}
	}
	for t := 0; t < h.terms; t++ {
		for b := range e.tail[t] {
			left := min(e.residue[t][b], e.tail[t][b])
			old[b] += left
			now[b] += e.tail[t][b] - left
		}
	}
}

// snapshot keeps the residue for an onset at the end (t1) of a frame.
func (e *engine) snapshot(o *Onset, frame int, t1 float64) {
	o.AtS = t1
	o.OldDB = -99
	last := max(0, int(o.HeardS/e.step)-1)
	for i := max(0, last-int(OldS/e.step)); i <= last && i < len(e.f.LevelDB); i++ {
		o.OldDB = max(o.OldDB, e.f.LevelDB[i])
	}
	for t := 0; t < e.h.terms; t++ {
		o.Residue[t] = e.row(len(e.residue[t]))
		for b, v := range e.residue[t] {
			o.Residue[t][b] = float32(min(v, e.tail[t][b]))
		}
	}
	o.NewDB = float32(toDB(e.steadyNow()))
	if o.OldDB-o.NewDB >= FallDB {
		e.falls = append(e.falls, o)
	}
}

// steadyNow is the mean-square pressure that the pipes now speaking would reach for good.
func (e *engine) steadyNow() float64 {
	h, sum := e.h, 0.0
	for d := range e.speaking {
		for b, p := range e.speaking[d] {
			if p > 0 {
				o := h.octaveOf[b]
				sum += p * h.through(d, o) * e.boxes[d][o]
			}
		}
	}
	for i := range e.rising {
		v := e.rising[i].voice
		for j, b := range v.bands {
			o := h.octaveOf[b]
			sum += v.steady[j] * h.through(v.division, o) * e.boxes[v.division][o]
		}
	}
	return sum
}

// row is n values that stay, cut from a longer piece.
func (e *engine) row(n int) []float32 {
	if len(e.rows) < n {
		e.rows = make([]float32, rowsAtOnce*n)
	}
	row := e.rows[:n:n]
	e.rows = e.rows[n:]
	return row
}

// keep records the frame for the falls that are still of interest.
func (e *engine) keep(now, old []float64, t1 float64) {
	if len(e.falls) == 0 {
		return
	}
	row := e.row(len(now))
	for b := range row {
		row[b] = float32(now[b] + old[b])
	}
	kept := e.falls[:0]
	for _, o := range e.falls {
		o.Total = append(o.Total, row)
		left := 0.0
		for i := 0; i < e.h.terms; i++ {
			for b, v := range o.Residue[i] {
				left += float64(v) * math.Exp(-e.h.rate[e.h.octaveOf[b]][i]*(t1-o.AtS))
			}
		}
		if toDB(left) > float64(o.NewDB)-keepDB && len(o.Total) < maxKept {
			kept = append(kept, o)
		}
	}
	e.falls = kept
}
