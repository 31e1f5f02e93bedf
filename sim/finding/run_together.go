package finding

import (
	"fmt"
	"iter"
	"math"
	"slices"

	"afterchord/sim/field"
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
	for _, line := range c.lines() {
		for _, run := range r.runs(line) {
			if f, ok := r.judge(line, run); ok {
				out = append(out, f)
			}
		}
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
	ringing            *field.Ringing
	pending            []int32 // notes whose pipes are not all shut
	opened             []field.Chord
	heldFor            map[int32]float64 // what a touch leaves of notes, s; the others are held as played
	speech             *latency
}

func newRunner(c *Context) *runner {
	n := c.Hearing.N()
	return &runner{c: c, weight: c.aWeights(), ringing: c.Field.Hall.NewRinging(), speech: newLatency(c),
		before: make([]float64, n), after: make([]float64, n), own: make([]float64, n),
		keenDip: keenerRise(c.Thresholds.RunDipDB, c.Thresholds.KeenDB)}
}

// keenerRise is what a rise of level, dB, that is just enough becomes for an ear whose masked thresholds lie keen dB lower:
// the power that is added to what sounds may be so much less.
func keenerRise(rise, keen float64) float64 {
	return 10 * math.Log10(1+(math.Pow(10, rise/10)-1)*math.Pow(10, -keen/10))
}

// stroke is one onset of a line.
type stroke struct {
	on, off float64
	notes   []int32
}

// lines lists the onsets of what the hands play of each part, and of what the feet take of it; notes struck together are one.
func (c *Context) lines() [][]stroke {
	c.linesOnce.Do(func() {
		byLimb := make([][]stroke, 2*len(c.Score.Parts))
		for i, n := range c.Performance.Notes {
			line := 2 * n.Part
			if c.Organ.Divisions[n.Division].Pedal {
				line++
			}
			s := byLimb[line]
			if k := len(s) - 1; k >= 0 && n.OnS-s[k].on < 0.03 {
				s[k].notes = append(s[k].notes, int32(i))
				s[k].off = max(s[k].off, n.OffS)
				continue
			}
			byLimb[line] = append(s, stroke{n.OnS, n.OffS, []int32{int32(i)}})
		}
		c.strokeLines = slices.DeleteFunc(byLimb, func(s []stroke) bool { return len(s) == 0 })
	})
	return c.strokeLines
}

// pair is one onset that could run together with what its line has left in the room.
type pair struct {
	i       int // index of the stroke that is lost
	measure Measure
	dip     float64
	lost    float64 // share of the dip it needs that is missing
}

// runs are the passages in which one stroke after another is lost, no further apart than run_together_s.
func (r *runner) runs(strokes []stroke) [][]pair {
	var out [][]pair
	for p := range r.pairs(strokes, 0) {
		if p.lost == 0 {
			continue
		}
		if k := len(out) - 1; k >= 0 && strokes[p.i-1].on-strokes[last(out[k]).i].on <= r.c.Thresholds.RunTogetherS {
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

// pairs measures each stroke from first on that could run together with what its line, from its beginning, has left in the room.
func (r *runner) pairs(s []stroke, first int) iter.Seq[pair] {
	return func(yield func(pair) bool) { r.measure(s, first, yield) }
}

func (r *runner) measure(s []stroke, first int, yield func(pair) bool) {
	c := r.c
	r.ringing.Clear()
	r.pending = r.pending[:0]
	back := r.backS()
	next, last := r.nextSuspect(s, max(0, first-1)), math.Inf(-1) // and the one before it
	for i := range s {
		if next == i {
			if i > 0 && s[i].on-last > back { // the line before that has died away
				r.ringing.Clear()
			}
			last = s[i].on
			p := pair{i: i, measure: MeasureFigure, dip: r.rise(s[i], 1)}
			if c.Performance.Notes[s[i-1].notes[0]].Key == c.Performance.Notes[s[i].notes[0]].Key {
				p.measure = MeasureRepeats
			}
			p.lost = max(0, 1-max(0, p.dip)/c.Thresholds.RunDipDB)
			if !yield(p) {
				return
			}
			next = r.nextSuspect(s, i)
		}
		if next < len(s) && s[next].on-s[i].on <= back {
			r.pending = append(r.pending, s[i].notes...)
		}
	}
}

// nextSuspect is the next stroke after i that could run together, len(s) where there is none.
func (r *runner) nextSuspect(s []stroke, i int) int {
	for i++; i < len(s) && !r.suspect(s, i); i++ {
	}
	return i
}

// backS is how far back a line's own ringing is followed, s.
func (r *runner) backS() float64 { return runBackS*r.c.Field.Hall.Room.RT(125) + 1 }

// rise is how far the stroke rises out of what its line has left at the seat, dB, with all the line's times stretched about
// it by slow (1 as written, 2 half as fast). It takes the notes that are pending and that the stroke finds shut into
// what rings.
func (r *runner) rise(x stroke, slow float64) float64 {
	c, h := r.c, r.c.Field.Hall
	clear(r.before)
	clear(r.after)
	clear(r.own)
	heard := h.HeardAt(c.Performance.Notes[x.notes[0]].Division, x.on)
	end := r.length(x)*slow + heard
	kept := r.pending[:0]
	for _, n := range r.pending {
		if c.Performance.Notes[n].OffS > x.on+overlapS {
			kept = append(kept, n) // another voice, held on: no part of the repetition
			continue
		}
		chords, shut := r.chords(n, x.on, slow), true
		for i := range chords {
			shut = shut && c.Field.ShutChordS(&chords[i]) <= heard
		}
		if !shut {
			h.AddChords(r.before, chords, heard)
			h.AddChords(r.after, chords, end)
			kept = append(kept, n)
			continue
		}
		for i := range chords {
			r.ringing.AddChord(&chords[i])
		}
	}
	r.pending = kept
	r.ringing.Forward(heard)
	r.ringing.At(r.before, heard)
	r.ringing.At(r.after, end)
	for _, n := range x.notes {
		chords := r.chords(n, x.on, slow)
		h.AddChords(r.before, chords, heard)
		h.AddChords(r.after, chords, end)
		for i := range chords {
			h.SteadyChord(r.own, &chords[i], x.on)
		}
	}
	for b, v := range c.Field.Noise {
		r.before[b] += v
		r.after[b] += v
	}
	return standOut(r.before, r.after, r.own, r.weight)
}

// chords are the pipes that a note opens, let go as the touch has it, their times stretched by slow about a stroke at on.
func (r *runner) chords(note int32, on, slow float64) []field.Chord {
	r.opened = r.c.Field.Chords(r.opened[:0], int(note))
	for i := range r.opened {
		x := &r.opened[i]
		if held, ok := r.heldFor[note]; ok {
			x.OffS = min(x.OffS, x.OnS+held)
		}
		if slow != 1 {
			*x = r.c.Field.Stretched(*x, on, slow)
		}
	}
	return r.opened
}

// length is how long a stroke is held, s.
func (r *runner) length(x stroke) float64 {
	if held, ok := r.heldFor[x.notes[0]]; ok {
		return min(held, x.off-x.on)
	}
	return x.off - x.on
}

// touchLeastS is how long a key is down at the least in a repetition, s: about ten a second are the quickest (common practice), and a touch
// needs as long to be chosen.
const touchLeastS = 0.1

// touched is what a run loses where its repeated notes are held for run_touch of their time and no longer, but until they have spoken: no
// finger holds a key to the moment at which it strikes it again. Other notes are held as they are written. It goes no further than to
// where what comes after changes no verdict.
func (r *runner) touched(s []stroke, run []pair, low bool) []pair {
	c := r.c
	r.heldFor = map[int32]float64{}
	defer func() { r.heldFor = nil }()
	for i := max(1, run[0].i-1); i <= last(run).i; i++ {
		apart := s[i].on - s[i-1].on
		if apart > c.Thresholds.RunFastS {
			continue
		}
		for _, n := range s[i-1].notes {
			if !slices.ContainsFunc(s[i].notes, func(m int32) bool { return c.note(m).Key == c.note(n).Key }) {
				continue
			}
			r.heldFor[n] = max(c.Thresholds.RunTouch*apart, r.speech.speak(n, c.Thresholds.LateShare), touchLeastS)
		}
	}
	from := run[0].i - 1
	for from > 0 && s[run[0].i].on-s[from-1].on <= r.backS() {
		from--
	}
	var out []pair
	keen := 0
	for p := range r.pairs(s[from:last(run).i+1], run[0].i-from) {
		if p.i += from; p.lost == 0 {
			continue
		}
		out = append(out, p)
		if r.keen(p) {
			keen++
		}
		if low && len(out) > fewLost || keen > fewFigure {
			break
		}
	}
	return out
}

// dip is rise for stroke i and the line before it, whatever was measured last.
func (r *runner) dip(s []stroke, i int, slow float64) float64 {
	r.ringing.Clear()
	r.pending = r.pending[:0]
	for j := i - 1; j >= 0 && (s[i].on-s[j].on)*slow <= r.backS(); j-- {
		r.pending = append(r.pending, s[j].notes...)
	}
	return r.rise(s[i], slow)
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

// fewLost is how many strokes of a passage are soon past, lost or not: three notes.
const fewLost = 2

// fewFigure is how many low notes of a figure may go under before it fails: the bass of a broken chord is to blend, and a turn or a run of
// half a crotchet is over before anybody asks for its notes.
const fewFigure = 5

// judge weighs a passage by how many strokes it loses. Keen ears need less of a dip; a second ear does not help where what rings and what
// begins are the same pipes in the same room. What a shorter touch of repeated notes mends is the player's, and weighs
// less.
func (r *runner) judge(s []stroke, run []pair) (Finding, bool) {
	sev, rare := r.weigh(run, run)
	if sev == "" {
		return Finding{}, false
	}
	touch := false
	if sev != Notice && r.repeats(s, run) > 0 {
		low := r.low(s, run)
		left := r.touched(s, run, low)
		switch touch = len(left) <= fewLost; {
		case touch && low && sev == Fail:
			sev = Warning
		case touch:
			sev = Notice
		case !low:
			sev, _ = r.weigh(run, left)
		}
	}
	return r.finding(s, run, sev, rare, touch), true
}

// low reports whether most of a passage is low: pipes there are slow, and the room rings longest, so that what a short touch does not wholly
// mend is lost as it is written.
func (r *runner) low(s []stroke, run []pair) bool {
	n := 0
	for _, p := range run {
		if x := r.c.note(s[p.i].notes[0]); float64(x.Key) <= r.c.Thresholds.RunLowKey || r.c.Organ.Divisions[x.Division].Pedal {
			n++
		}
	}
	return 2*n > len(run)
}

// keen reports whether keen ears lose a stroke, too.
func (r *runner) keen(p pair) bool { return p.dip < min(r.c.Thresholds.RunFailDipDB, r.keenDip) }

// weigh is the verdict on a passage by what it loses, and of that by what is left to be heard.
func (r *runner) weigh(run, left []pair) (sev Severity, rarest float64) {
	c := r.c
	keen := 0
	for _, p := range left {
		if r.keen(p) {
			keen++
		}
	}
	rarest = 1.0
	lost := strokesLost(run)
	for _, m := range []Measure{MeasureRepeats, MeasureFigure} {
		few := fewLost
		if m == MeasureFigure {
			few = fewFigure
		}
		v, rare := c.verdict(m, lost[m], len(left) > fewLost, keen > few)
		if v != "" && (sev == "" || v.Rank() < sev.Rank()) {
			sev = v
		}
		rarest = min(rarest, rare)
	}
	return sev, rarest
}

func (r *runner) finding(s []stroke, run []pair, sev Severity, rare float64, touch bool) Finding {
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
	gap := max(0, b.on-a.off)
	f := Finding{AtS: first.on, UntilS: end.off, Division: division, Keys: c.keyNames(notes), Severity: sev,
		Count: 1, passage: len(notes) > 2, Weight: lost, Notes: c.noteIDs(notes), spots: spots,
		Measured: map[string]float64{
			"dip_db": round(max(0, worst.dip), 1), "needed_dip_db": need, "needed_least_db": round(r.keenDip, 1), "gap_s": round(gap, 3),
			"between_onsets_s": round(b.on-a.on, 3), "places": float64(len(run)), "more_than_share": round(1-rare, 4),
			"tempo": round(tempo, 1),
		}}
	what := "notes"
	if 2*r.repeats(s, run) > len(run) {
		what = "repeated notes"
	}
	f.Message = fmt.Sprintf("%d %s on the %s run into those before them: at worst %.2f s apart, where the second rises only %.1f dB out of the first and it takes %s to hear two; %s. The room and the pipes fill the gaps.",
		len(run), what, division, b.on-a.on, max(0, worst.dip), fromTo(r.keenDip, need, "dB"), usual(rare, likeRoom))
	if touch {
		f.Message += fmt.Sprintf(" It is a matter of touch: held for %.0f %% of their time they stand apart.", 100*c.Thresholds.RunTouch)
	}
	f.Try = []string{"shorten the notes so that a rest stands between them",
		"alternate the octave on repeated notes, or take the figure up where pipes speak sooner"}
	f.finish = func(f *Finding) { r.finish(f, s, worst.i, tempo) }
	return f
}

// mostSlowed is how much a figure is slowed at most in search of a tempo that separates it.
const mostSlowed = 15.9

// finish works out for the worst stroke of all what tempo would separate it, and draws it.
func (r *runner) finish(f *Finding, s []stroke, i int, tempo float64) {
	try := "no tempo separates them as written: the notes need a gap between them"
	if fastest, ok := r.fastest(s, i, tempo); ok {
		f.Measured["max_tempo"] = float64(fastest)
		try = fmt.Sprintf("slow to %d crotchets a minute or less (written: %.0f)", fastest, tempo)
	}
	f.Try = slices.Concat([]string{try}, f.Try)
	if f.Severity != Notice {
		f.Trace = r.trace(s, i)
	}
}

// fastest is the quickest whole number of crotchets a minute, written at tempo, at which stroke i stands out of the line before it.
func (r *runner) fastest(s []stroke, i int, tempo float64) (crotchets int, ok bool) {
	separates := func(slow float64) bool { return r.dip(s, i, slow) >= r.c.Thresholds.RunDipDB }
	switch {
	case separates(1):
		return int(tempo), true
	case !separates(mostSlowed):
		return 0, false
	}
	crotchets, tooFast := int(tempo/mostSlowed), int(tempo)+1
	for tooFast-crotchets > 1 {
		if mid := (crotchets + tooFast) / 2; separates(tempo / float64(mid)) {
			crotchets = mid
		} else {
			tooFast = mid
		}
	}
	return crotchets, true
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
