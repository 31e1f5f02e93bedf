package finding

import (
	"fmt"
	"math"
	"slices"

	"afterchord/sim/field"
	"afterchord/sim/pipework"
)

// runBackS is how far back a line's own ringing is followed, in reverberation times of the
// room: 60 dB down.
const runBackS = 1.0

// RunTogether finds repeated notes and fast figures whose gaps the room and the
// pipes fill: in the auditory bands that the new note excites, the dip between the note before
// and the new one, at the seat, is too small to be heard as two.
func RunTogether(c *Context) []Finding {
	var out []Finding
	r := newRunner(c)
	for part := range c.Score.Parts {
		out = append(out, r.part(part)...)
	}
	return out
}

// overlapS is how far a legato player may hold one note into the next, s.
const overlapS = 0.05

type runner struct {
	c                  *Context
	weight             []float64
	before, after, own []float64
	keenDip            float64 // dB that keen ears need
}

func newRunner(c *Context) *runner {
	n := c.Hearing.N()
	return &runner{c: c, weight: c.aWeights(),
		before: make([]float64, n), after: make([]float64, n), own: make([]float64, n),
		keenDip: keenerRise(c.Thresholds.RunDipDB, c.Thresholds.KeenDB)}
}

// keenerRise is what a rise of level, dB, that is just enough becomes for an ear whose masked thresholds lie keen dB lower:
// the power that is added to what sounds may be so much less.
func keenerRise(rise, keen float64) float64 {
	return 10 * math.Log10(1+(math.Pow(10, rise/10)-1)*math.Pow(10, -keen/10))
}

// stroke is one onset of a part.
type stroke struct {
	on, off float64
	notes   []int32
}

// strokes lists the onsets of a part; notes struck together are one.
func (c *Context) strokes(part int) []stroke {
	var out []stroke
	for i, n := range c.Performance.Notes {
		if n.Part != part {
			continue
		}
		if k := len(out) - 1; k >= 0 && n.OnS-out[k].on < 0.03 {
			out[k].notes = append(out[k].notes, int32(i))
			out[k].off = max(out[k].off, n.OffS)
			continue
		}
		out = append(out, stroke{n.OnS, n.OffS, []int32{int32(i)}})
	}
	return out
}

// pair is one onset that could run together with what its line has left in the room.
type pair struct {
	i       int // index of the stroke that is lost
	measure Measure
	dip     float64
	lost    float64 // share of the dip it needs that is missing
}

func (r *runner) part(part int) []Finding {
	strokes := r.c.strokes(part)
	var out []Finding
	for _, run := range r.runs(strokes) {
		if f, ok := r.judge(strokes, run); ok {
			out = append(out, f)
		}
	}
	return out
}

// runs are the passages in which one stroke after another is lost, no further apart than run_together_s.
func (r *runner) runs(strokes []stroke) [][]pair {
	var out [][]pair
	for i := 1; i < len(strokes); i++ {
		p, ok := r.pair(strokes, i)
		if !ok || p.lost == 0 {
			continue
		}
		if k := len(out) - 1; k >= 0 && strokes[i-1].on-strokes[last(out[k]).i].on <= r.c.Thresholds.RunTogetherS {
			out[k] = append(out[k], p)
			continue
		}
		out = append(out, []pair{p})
	}
	return out
}

func last(run []pair) pair { return run[len(run)-1] }

// strokesLost is how many strokes a run loses of each measure's kind, each by the share of its dip that is missing: one stroke is soon
// past, a passage of them is what a listener misses.
func strokesLost(run []pair) map[Measure]float64 {
	out := map[Measure]float64{}
	for _, p := range run {
		out[p.measure] += p.lost
	}
	return out
}

// pair measures a stroke against what its line has left in the room; ok is false where it is none that could run together.
func (r *runner) pair(s []stroke, i int) (p pair, ok bool) {
	if !r.suspect(s, i) {
		return p, false
	}
	c := r.c
	p = pair{i: i, measure: MeasureFigure, dip: r.dip(s, i, 1)}
	if c.Performance.Notes[s[i-1].notes[0]].Key == c.Performance.Notes[s[i].notes[0]].Key {
		p.measure = MeasureRepeats
	}
	p.lost = max(0, 1-max(0, p.dip)/c.Thresholds.RunDipDB)
	return p, true
}

// suspect reports whether the stroke comes fast after its neighbour and is either the
// same key again or low.
func (r *runner) suspect(s []stroke, i int) bool {
	c := r.c
	if s[i].on-s[i-1].on > c.Thresholds.RunFastS || len(c.Field.NoteEvents(int(s[i].notes[0]))) == 0 {
		return false
	}
	a, b := c.Performance.Notes[s[i-1].notes[0]], c.Performance.Notes[s[i].notes[0]]
	if a.Key != b.Key && (a.Key-b.Key)%12 == 0 {
		return false // an octave: the new note's partials sound already, its pitch is heard all the same
	}
	return a.Key == b.Key || float64(b.Key) <= c.Thresholds.RunLowKey || c.Organ.Divisions[b.Division].Pedal
}

// dip is how far the stroke rises out of its own line's ringing at the seat, dB, with all
// its line's times stretched by slow (1 as written, 2 half as fast).
func (r *runner) dip(s []stroke, i int, slow float64) float64 {
	c := r.c
	clear(r.before)
	clear(r.after)
	clear(r.own)
	h := c.Field.Hall
	at := func(t float64) float64 { return s[i].on + (t-s[i].on)*slow }
	d := c.Performance.Notes[s[i].notes[0]].Division
	heard := h.HeardAt(d, s[i].on)
	end := at(s[i].off) - s[i].on + heard
	for j := i; j >= 0; j-- {
		if s[i].on-at(s[j].on) > runBackS*h.Room.RT(125)+1 {
			break
		}
		for _, n := range s[j].notes {
			if j < i && c.Performance.Notes[n].OffS > s[i].on+overlapS {
				continue // another voice, held on: no part of the repetition
			}
			for _, k := range c.Field.NoteEvents(int(n)) {
				e := c.Field.Events[k]
				e = stretched(e, s[i].on+c.Organ.Divisions[e.Pipe.Division].Action.DelayS, slow)
				h.Pipe(r.before, &e, heard)
				h.Pipe(r.after, &e, end)
				if j == i {
					h.SteadyPipe(r.own, &e, s[i].on)
				}
			}
		}
	}
	for b, v := range c.Field.Noise {
		r.before[b] += v
		r.after[b] += v
	}
	return standOut(r.before, r.after, r.own, r.weight)
}

// stretched is the event with its times drawn out about pivot.
func stretched(e pipework.Event, pivot, slow float64) pipework.Event {
	e.OnS = pivot + (e.OnS-pivot)*slow
	e.OffS = pivot + (e.OffS-pivot)*slow
	return e
}

// fewLost is how many strokes of a passage are soon past, lost or not: three notes.
const fewLost = 2

// judge weighs a passage by how many strokes it loses. Keen ears need less of a dip; a second ear does not help where what rings and what
// begins are the same pipes in the same room.
func (r *runner) judge(s []stroke, run []pair) (Finding, bool) {
	c := r.c
	keen := 0 // strokes that keen ears lose, too
	for _, p := range run {
		if p.dip < min(c.Thresholds.RunFailDipDB, r.keenDip) {
			keen++
		}
	}
	var sev Severity
	rarest := 1.0
	for _, m := range []Measure{MeasureRepeats, MeasureFigure} {
		v, rare := c.verdict(m, strokesLost(run)[m], len(run) > fewLost, keen > fewLost)
		if v != "" && (sev == "" || v.Rank() < sev.Rank()) {
			sev = v
		}
		rarest = min(rarest, rare)
	}
	if sev == "" {
		return Finding{}, false
	}
	return r.finding(s, run, sev, rarest), true
}

func (r *runner) finding(s []stroke, run []pair, sev Severity, rare float64) Finding {
	c := r.c
	worst := run[0]
	var notes []int32
	var spots []float64
	lost := 0.0
	for _, p := range run {
		if p.dip < worst.dip {
			worst = p
		}
		notes = append(notes, s[p.i].notes...)
		spots = append(spots, s[p.i].on)
		lost += (s[p.i].off - s[p.i].on) * (1 - max(0, p.dip)/c.Thresholds.RunDipDB)
	}
	first, end := s[run[0].i-1], s[last(run).i]
	a, b := s[worst.i-1], s[worst.i]
	division := c.Organ.Divisions[c.Performance.Notes[b.notes[0]].Division].Name
	tempo := c.tempoAt(b.on)
	need := c.Thresholds.RunDipDB
	slow := bisect(1, 16, func(x float64) bool { return r.dip(s, worst.i, x) >= need })
	gap := max(0, b.on-a.off)
	f := Finding{AtS: first.on, UntilS: end.off, Division: division, Keys: c.keyNames(notes), Severity: sev,
		Count: 1, passage: len(notes) > 2, Weight: lost, Notes: c.noteIDs(notes), spots: spots,
		Measured: map[string]float64{
			"dip_db": round(max(0, worst.dip), 1), "needed_dip_db": need, "needed_least_db": round(r.keenDip, 1), "gap_s": round(gap, 3),
			"between_onsets_s": round(b.on-a.on, 3), "places": float64(len(run)), "more_than_share": round(1-rare, 4),
			"max_tempo": math.Floor(tempo / slow), "tempo": round(tempo, 1),
		}}
	if sev != Notice {
		f.Trace = r.trace(s, worst.i)
	}
	what := "notes"
	if 2*r.repeats(s, run) > len(run) {
		what = "repeated notes"
	}
	f.Message = fmt.Sprintf("%d %s on the %s run into those before them: at worst %.2f s apart, where the second rises only %.1f dB out of the first and it takes %s to hear two; %s. The room and the pipes fill the gaps.",
		len(run), what, division, b.on-a.on, max(0, worst.dip), fromTo(r.keenDip, need, "dB"), usual(rare, likeRoom))
	if slow < 15.9 {
		f.Try = append(f.Try, fmt.Sprintf("slow to %.0f crotchets a minute or less (written: %.0f)", math.Floor(tempo/slow), tempo))
	} else {
		delete(f.Measured, "max_tempo")
		f.Try = append(f.Try, "no tempo separates them as written: the notes need a gap between them")
	}
	f.Try = append(f.Try, "shorten the notes so that a rest stands between them",
		"alternate the octave on repeated notes, or take the figure up where pipes speak sooner")
	return f
}

// repeats counts the pairs of a run that strike the same key twice.
func (r *runner) repeats(s []stroke, run []pair) int {
	n := 0
	for _, p := range run {
		if r.c.Performance.Notes[s[p.i-1].notes[0]].Key == r.c.Performance.Notes[s[p.i].notes[0]].Key {
			n++
		}
	}
	return n
}

// traceBackS is how much of the line before a note its picture follows, s.
const traceBackS = 3

// trace is the level of the line before stroke i, and of stroke i itself, in the auditory bands
// that stroke i excites most, from the stroke before to its own end.
func (r *runner) trace(s []stroke, i int) *Trace {
	c := r.c
	h := c.Field.Hall
	heard := func(k int) float64 {
		d := c.Performance.Notes[s[k].notes[0]].Division
		return h.HeardAt(d, s[k].on)
	}
	from, end := heard(i-1), heard(i)+s[i].off-s[i].on
	t := &Trace{FromS: from, StepS: max(c.Field.StepS, (end-from)/traceSteps), OldTag: "the line so far", NewTag: "the next note"}
	var before []int32
	for j := i - 1; j >= 0 && s[j].on > s[i].on-traceBackS; j-- {
		for _, n := range s[j].notes {
			if c.Performance.Notes[n].OffS <= s[i].on+overlapS {
				before = append(before, c.Field.NoteEvents(int(n))...)
			}
		}
	}
	var mine []int32
	clear(r.own)
	for _, n := range s[i].notes {
		mine = append(mine, c.Field.NoteEvents(int(n))...)
	}
	c.Field.Steady(r.own, mine, s[i].on)
	top := slices.Max(r.own)
	level := func(events []int32, at float64) float32 {
		clear(r.after)
		c.Field.Energy(r.after, events, at)
		for b := range r.after {
			if r.own[b] < top*0.01 {
				r.after[b] = 0
			}
		}
		return float32(round(field.DB(r.after), 2))
	}
	for at := from; at < end; at += t.StepS {
		t.OldDB = append(t.OldDB, level(before, at))
		t.NewDB = append(t.NewDB, level(mine, at))
	}
	return t
}
