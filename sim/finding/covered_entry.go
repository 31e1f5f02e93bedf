package finding

import (
	"fmt"
	"math"

	"afterchord/acoustics/hearing"
	"afterchord/sim/field"
)

// CoveredEntry finds every fall in level after which the ringing of the old passage
// covers or blurs the new one. The new passage is the signal, the old one's tail and
// the room's noise are the masker; covered and blurred are shares of partial
// loudness (Moore, Glasberg & Baer 1997) below the thresholds covered_share and blurred_share.
func CoveredEntry(c *Context) []Finding {
	var out []Finding
	e := newEntry(c)
	for _, i := range c.fallsInLevel() {
		o := &c.Field.Onsets[i]
		if len(o.Total) == 0 {
			continue
		}
		if f := e.judge(o, float64(o.OldDB-o.NewDB)); f != nil {
			out = append(out, *f)
		}
	}
	return out
}

// fallsInLevel are the onsets at which the music falls by covered_drop_db or more against the
// field.OldS seconds before. A later entry of the same quiet passage is no new fall, unless it
// falls as much again or the music has been loud in between.
func (c *Context) fallsInLevel() []int {
	var out []int
	least := c.Thresholds.CoveredDropDB
	quiet, since := 0.0, math.Inf(-1) // level and beginning of the passage after the last fall
	for i := range c.Field.Onsets {
		o := &c.Field.Onsets[i]
		level := float64(o.NewDB)
		if level > quiet+least {
			since = math.Inf(-1)
		}
		if float64(o.OldDB)-level < least || o.HeardS < since+field.OldS && level > quiet-least {
			continue
		}
		quiet, since = level, o.HeardS
		out = append(out, i)
	}
	return out
}

// entry holds the scratch of one run of the check.
type entry struct {
	c               *Context
	work            *hearing.Work
	old, sig, mask  []float64
	step            float64
	covered, blurry float64 // thresholds
}

func newEntry(c *Context) *entry {
	n := c.Hearing.N()
	return &entry{c: c, work: c.Hearing.NewWork(), step: c.Field.StepS,
		old: make([]float64, n), sig: make([]float64, n), mask: make([]float64, n),
		covered: c.Thresholds.CoveredShare, blurry: c.Thresholds.BlurredShare}
}

// share is the part of the new passage's loudness that is heard in frame i of an
// onset, with the old tail raised by old (a power factor), and both levels in dB.
func (e *entry) share(o *field.Onset, i int, factor float64) (share, oldDB, newDB float64) {
	clear(e.old)
	e.c.Field.ResidueAt(e.old, o, o.AtS+float64(i)*e.step)
	for b, v := range o.Total[i] {
		e.sig[b] = max(0, float64(v)-e.old[b])
		e.mask[b] = e.old[b]*factor + e.c.Field.Noise[b]
	}
	part, alone := e.c.Hearing.Partial(e.sig, e.mask, e.work)
	if alone <= 1e-3 {
		return 1, field.DB(e.old), field.DB(e.sig)
	}
	return min(1, part/alone), field.DB(e.old), field.DB(e.sig)
}

// judge follows one fall until the new passage is clear. It returns nil where the ear loses
// nothing worth a word.
func (e *entry) judge(o *field.Onset, drop float64) *Finding {
	c := e.c
	trace := &Trace{FromS: o.AtS, StepS: e.step, OldTag: "what still rings", NewTag: "the new passage"}
	lost := 0.0 // seconds of the new passage's loudness that the tail takes
	coveredS, blurredS := 0.0, 0.0
	lead := o.AtS - o.HeardS
	calm := 0
	for i := range o.Total {
		share, oldDB, newDB := e.share(o, i, 1)
		trace.OldDB = append(trace.OldDB, float32(round(oldDB, 2)))
		trace.NewDB = append(trace.NewDB, float32(round(newDB, 2)))
		trace.Share = append(trace.Share, float32(round(share, 3)))
		at := lead + float64(i+1)*e.step
		if share < e.covered {
			coveredS = at
		}
		if share < e.blurry {
			blurredS, calm = at, 0
		} else {
			calm++
		}
		lost += (1 - share) * e.step
		if calm*int(e.step*1000) >= 300 && share > 0.8 {
			break // 0.3 s above the threshold and nearly whole
		}
	}
	clear := o.HeardS + blurredS
	noteS := e.length(o)
	eaten := min(1, blurredS/noteS)
	if blurredS < c.Thresholds.CoveredWarnS || eaten < c.Thresholds.CoveredWarnShare {
		return nil
	}
	sev := Warning
	if min(1, coveredS/noteS) >= c.Thresholds.CoveredFailShare || blurredS >= 2*noteS ||
		blurredS >= c.Thresholds.CoveredFailS {
		sev = Fail
	}
	if blurredS > 0 {
		trace.Spans = append(trace.Spans, Span{"blurred", o.HeardS + coveredS, clear})
	}
	if coveredS > 0 {
		trace.Spans = append([]Span{{"covered", o.HeardS, o.HeardS + coveredS}}, trace.Spans...)
	}
	f := &Finding{AtS: o.KeyS, UntilS: o.KeyS + blurredS, Division: c.divisionsOf(o.Notes), Keys: c.keyNames(o.Notes),
		Severity: sev, Weight: lost, Notes: c.noteIDs(o.Notes), Trace: trace,
		Measured: map[string]float64{
			"drop_db": round(drop, 1), "covered_s": round(coveredS, 2), "blurred_s": round(blurredS, 2),
			"clear_after_s": round(blurredS, 2), "note_s": round(noteS, 2), "share_lost": round(eaten, 2),
		}}
	e.notes(f, o)
	e.cures(f, o)
	return f
}

// length is how long the shortest note of the entry is held, s.
func (e *entry) length(o *field.Onset) float64 {
	l := math.Inf(1)
	for _, n := range o.Notes {
		x := e.c.Performance.Notes[n]
		l = min(l, x.OffS-x.OnS)
	}
	return max(l, 0.05)
}

// notes measures the entry voice by voice: each note against the tail, beside the other notes.
func (e *entry) notes(f *Finding, o *field.Onset) {
	c := e.c
	n := len(e.old)
	one, free := make([]float64, n), make([]float64, n)
	var lost []int32
	for _, note := range o.Notes {
		gone := 0.0
		held := c.Performance.Notes[note].OffS - c.Performance.Notes[note].OnS
		for i := 0; i < len(o.Total) && float64(i)*e.step < held; i += 4 {
			t := o.AtS + float64(i)*e.step
			clear(one)
			c.Field.Energy(one, c.Field.NoteEvents(int(note)), t)
			clear(e.old)
			c.Field.ResidueAt(e.old, o, t)
			for b, v := range o.Total[i] {
				others := max(0, float64(v)-e.old[b]-one[b])
				free[b] = others + c.Field.Noise[b]
				e.mask[b] = free[b] + e.old[b]
			}
			with, _ := c.Hearing.Partial(one, e.mask, e.work)
			without, _ := c.Hearing.Partial(one, free, e.work)
			if without <= 1e-3 || with/without < e.blurry {
				gone += 4 * e.step
			}
		}
		if gone >= 0.8*held {
			lost = append(lost, note)
		}
	}
	f.Measured["notes"] = float64(len(o.Notes))
	f.Measured["notes_lost"] = float64(len(lost))
	when := fmt.Sprintf("The music falls by %.0f dB here, and what came before still rings: the new passage is ", f.Measured["drop_db"])
	what := fmt.Sprintf("blurred for %.1f s", f.Measured["blurred_s"])
	if cs := f.Measured["covered_s"]; cs >= 0.1 {
		what = fmt.Sprintf("not heard at all for %.1f s", cs)
		if bs := f.Measured["blurred_s"]; bs >= cs+0.1 {
			what += fmt.Sprintf(" and blurred until %.1f s have passed", bs)
		}
	}
	tail := fmt.Sprintf(", %.0f %% of its first note.", 100*f.Measured["share_lost"])
	switch {
	case f.Measured["covered_s"] > f.Measured["note_s"]:
		tail = fmt.Sprintf("; its first note, %.1f s long, is over before it can be heard.", f.Measured["note_s"])
	case f.Measured["share_lost"] >= 1:
		tail = ", longer than its first note lasts."
	}
	if k := len(lost); k > 0 && k < len(o.Notes) {
		tail += fmt.Sprintf(" Lost for most of their length: %s.", list(c.keyNames(lost)))
	}
	f.Message = when + what + tail
}

// cures solves on the model for what would make the entry clear: how long a rest, how
// much softer the old passage, how much drier the room.
func (e *entry) cures(f *Finding, o *field.Onset) {
	c := e.c
	allowed := c.Thresholds.CoveredWarnS
	// the new passage once it has spoken: the frame a quarter of a second in
	i := min(len(o.Total)-1, int(math.Round(max(0, allowed-(o.AtS-o.HeardS))/e.step)))
	clear(e.old)
	c.Field.ResidueAt(e.old, o, o.AtS+float64(i)*e.step)
	for b, v := range o.Total[i] {
		e.sig[b] = max(0, float64(v)-e.old[b])
	}
	later := make([]float64, len(e.old))
	heard := func(fill func()) bool {
		clear(later)
		fill()
		for b, v := range later {
			e.mask[b] = v + c.Field.Noise[b]
		}
		part, alone := c.Hearing.Partial(e.sig, e.mask, e.work)
		return alone > 0 && part/alone >= e.blurry
	}
	t := o.AtS + float64(i)*e.step
	rest := bisect(0, 20, func(x float64) bool {
		return heard(func() { c.Field.ResidueAt(later, o, t+x) })
	})
	softer := bisect(0, 60, func(db float64) bool {
		return heard(func() {
			for b, v := range e.old {
				later[b] = v * math.Pow(10, -db/10)
			}
		})
	})
	// the same powers in a room whose decay is k times as quick: the level of old and new
	// fall alike, and the tail has had allowed seconds to go
	quicker := bisect(1, 100, func(k float64) bool {
		return heard(func() { c.Field.ResidueAt(later, o, o.HeardS+(t-o.HeardS)*k) })
	})
	rt := c.Field.Hall.Room.RT(500)
	f.Measured["rest_needed_s"] = round(rest, 2)
	f.Measured["softer_needed_db"] = round(softer, 1)
	f.Measured["rt_needed_s"] = round(rt/quicker, 2)
	tempo := c.tempoAt(f.AtS)
	f.Try = append(f.Try,
		fmt.Sprintf("write a %s rest before the entry, or let the last chord go that much earlier (%.1f s)", NoteValue(rest, tempo), rest),
		fmt.Sprintf("bring the old passage down by %.0f dB before it stops, about %s", softer, steps(softer)),
		fmt.Sprintf("as written it needs a room of about %.1f s; here it is %.1f s", rt/quicker, rt))
}

// stepDB is a usual step between neighbouring dynamics of an organ (common practice: 4-8 dB).
const stepDB = 6

func steps(db float64) string {
	n := max(1, int(math.Ceil(db/stepDB-0.2)))
	if n == 1 {
		return "one dynamic mark"
	}
	return fmt.Sprintf("%d dynamic marks", n)
}
