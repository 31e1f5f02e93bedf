package finding

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"afterchord/acoustics/hearing"
	"afterchord/sim/field"
	"afterchord/sim/performance"
)

// CoveredEntry finds entries after a fall in level that the ringing of the old passage covers or blurs. The
// new passage is the signal, the old one's tail and the room's noise are the masker (Moore, Glasberg &
// Baer 1997). It is inaudible while no auditory filter has it above its masked threshold, faint
// while its partial loudness is under faint_sone, and blurred while less than blurred_share of its loudness is left.
func CoveredEntry(c *Context) []Finding {
	var out []Finding
	e := newEntry(c)
	_, meant := c.entries()
	for _, i := range c.fallsInLevel() {
		o := &c.Field.Onsets[i]
		if len(o.Total) == 0 {
			continue
		}
		if f := e.judge(o, float64(o.OldDB-o.NewDB), meant[i]); f != nil {
			out = append(out, *f)
		}
	}
	return out
}

// fallsInLevel are the onsets at which something enters and the music falls by covered_drop_db or more against the
// field.OldS seconds before. A later entry of the same quiet passage is no new fall, unless it
// falls as much again or the music has been loud in between.
func (c *Context) fallsInLevel() []int {
	var out []int
	least := c.Thresholds.CoveredDropDB
	enters, _ := c.entries()
	quiet, since := 0.0, math.Inf(-1) // level and beginning of the passage after the last fall
	for i := range c.Field.Onsets {
		o := &c.Field.Onsets[i]
		level := float64(o.NewDB)
		if level > quiet+least {
			since = math.Inf(-1)
		}
		if !c.speaks(o) || float64(o.OldDB)-level < least || o.HeardS < since+field.OldS && level > quiet-least || !enters[i] {
			continue
		}
		quiet, since = level, o.HeardS
		out = append(out, i)
	}
	return out
}

// speaks reports whether a note of an onset has a key: one that has none enters nowhere.
func (c *Context) speaks(o *field.Onset) bool {
	return slices.ContainsFunc(o.Notes, func(n int32) bool { return c.hasKey(c.note(n)) })
}

// breathS is the rest after which a part that goes on enters anew, s: a crotchet rest at 120.
const breathS = 0.5

// entries says which onsets are entries: a part begins, goes on softer or on another manual, or comes in after a rest, or
// stops have gone in. What merely goes on while a chord beside it ends is none. meant says where the page asks for another sound: a
// softer mark, another manual, other stops, and not merely fewer notes.
func (c *Context) entries() (out, meant []bool) {
	out, meant = make([]bool, len(c.Field.Onsets)), make([]bool, len(c.Field.Onsets))
	last := make([]int32, len(c.Score.Parts))
	for i := range last {
		last[i] = -1
	}
	off := make([]float64, len(c.Score.Parts)) // last key up of each part
	latest := int32(-1)                        // of all parts
	changes, next := c.Performance.Changes, 0
	for i := range c.Field.Onsets {
		o := &c.Field.Onsets[i]
		for ; next < len(changes) && changes[next].AtS <= o.KeyS+overlapS; next++ {
			meant[i] = meant[i] || next > 0 && changes[next].Registration != changes[next-1].Registration
		}
		for _, n := range o.Notes {
			x := c.Performance.Notes[n]
			before := latest
			if last[x.Part] < 0 || o.KeyS-off[x.Part] >= breathS {
				out[i] = true
			} else {
				before = last[x.Part]
			}
			meant[i] = meant[i] || before >= 0 && c.softer(before, n)
		}
		latest = o.Notes[0]
		out[i] = out[i] || meant[i]
		for _, n := range o.Notes {
			x := c.Performance.Notes[n]
			last[x.Part], off[x.Part] = n, max(off[x.Part], x.OffS)
		}
	}
	return out, meant
}

// softer reports whether note b is played on another manual than a, or at a softer mark.
func (c *Context) softer(a, b int32) bool {
	x, y := c.Performance.Notes[a], c.Performance.Notes[b]
	manuals := !c.Organ.Divisions[x.Division].Pedal && !c.Organ.Divisions[y.Division].Pedal
	return y.Dynamic < x.Dynamic || manuals && y.Division != x.Division
}

// entry holds the scratch of one run of the check.
type entry struct {
	c              *Context
	work           *hearing.Work
	old, sig, mask []float64
	step           float64
	blurry         float64 // threshold
	faint          float64 // sone
	touched        bool    // the falls are a player's touch
}

func newEntry(c *Context) *entry {
	n := c.Hearing.N()
	return &entry{c: c, work: c.Hearing.NewWork(), step: c.Field.StepS,
		old: make([]float64, n), sig: make([]float64, n), mask: make([]float64, n),
		blurry: c.Thresholds.BlurredShare, faint: c.Thresholds.FaintSone, touched: c.touched()}
}

// lost is how long after an entry it is inaudible, faint and blurred, s, and the seconds of its loudness that the tail takes.
type lost struct{ inaudible, faint, blurred, loudness float64 }

// follow hears one fall with an ear until the new passage is clear, the old tail raised by a power factor.
// It adds what it hears to trace where there is one.
func (e *entry) follow(m *hearing.Model, o *field.Onset, factor float64, trace *Trace) lost {
	c := e.c
	var l lost
	lead := o.AtS - o.HeardS
	calm := 0
	hidden := true
	for i := range o.Total {
		clear(e.old)
		c.Field.ResidueAt(e.old, o, o.AtS+float64(i)*e.step)
		for b, v := range o.Total[i] {
			e.sig[b] = max(0, float64(v)-e.old[b])
			e.mask[b] = e.old[b]*factor + c.Field.Noise[b]
		}
		part, alone := m.Partial(e.sig, e.mask, e.work)
		share := 1.0
		if alone > 1e-3 {
			share = min(1, part/alone)
		}
		if trace != nil {
			trace.OldDB = append(trace.OldDB, float32(round(field.DB(e.old), 2)))
			trace.NewDB = append(trace.NewDB, float32(round(field.DB(e.sig), 2)))
			trace.Share = append(trace.Share, float32(round(share, 3)))
		}
		at := lead + float64(i+1)*e.step
		if hidden = hidden && share < e.blurry && !m.Audible(e.sig, e.mask, e.work); hidden {
			l.inaudible = at
		}
		if share < e.blurry && part < e.faint {
			l.faint = at
		}
		if share < e.blurry {
			l.blurred, calm = at, 0
		} else {
			calm++
		}
		l.loudness += (1 - share) * e.step
		if calm*int(e.step*1000) >= 300 && share > 0.8 {
			break // 0.3 s above the threshold and nearly whole
		}
	}
	return l
}

// judge follows one fall until the new passage is clear. It returns nil where the ear loses
// nothing worth a word. Where only the texture is thinner than before the line must be lost to keen ears, too: every listener knows what
// a chord leaves in a church.
func (e *entry) judge(o *field.Onset, drop float64, meant bool) *Finding {
	c := e.c
	trace := &Trace{FromS: o.AtS, StepS: e.step, OldTag: "what still rings", NewTag: "the new passage"}
	mean := e.follow(c.Hearing, o, 1, trace)
	noteS := e.length(o)
	audible := func(l lost) bool {
		return l.blurred >= c.Thresholds.CoveredWarnS && l.blurred >= c.Thresholds.CoveredWarnShare*noteS
	}
	if !audible(mean) {
		return nil
	}
	keen := e.follow(c.keen(), o, math.Pow(10, -c.Thresholds.TwoEarsDB/10), nil)
	sev, rare := c.verdict(MeasureEntry, mean.blurred, meant || audible(keen), audible(keen))
	switch {
	case keen.inaudible >= c.Thresholds.CoveredFailShare*noteS:
		sev = Fail // the note is not heard, however usual it is
	case sev == "":
		return nil
	case keen.blurred < c.Thresholds.CoveredKeenS && keen.faint < c.Thresholds.CoveredWarnS:
		sev = Notice
	case sev == Fail && keen.faint < c.Thresholds.CoveredFaintS && keen.blurred < c.Thresholds.CoveredLongS:
		sev = Warning
	}
	if sev == Fail && c.sameChord(o) {
		sev = Warning // the ear takes what rings for the notes themselves
	}
	if sev == Warning && keen.inaudible < c.Thresholds.CoveredFailShare*noteS && keen.blurred < 2*c.Thresholds.CoveredKeenS && c.echoes(o) {
		sev = Notice // it is to come out of the tail of what it repeats, and the ear knows how it goes
	}
	if e.touched {
		sev = Notice // nobody has written this fall
	}
	eaten := min(1, mean.blurred/noteS)
	trace.Spans = append(trace.Spans, Span{"blurred", o.HeardS + mean.inaudible, o.HeardS + mean.blurred})
	if mean.inaudible > 0 {
		trace.Spans = append([]Span{{"inaudible", o.HeardS, o.HeardS + mean.inaudible}}, trace.Spans...)
	}
	f := &Finding{AtS: o.KeyS, UntilS: o.KeyS + mean.blurred, Division: c.divisionsOf(o.Notes), Keys: c.keyNames(o.Notes),
		Severity: sev, Weight: mean.loudness, Notes: c.noteIDs(o.Notes), Trace: trace,
		Measured: map[string]float64{
			"drop_db": round(drop, 1), "inaudible_s": round(mean.inaudible, 2), "inaudible_least_s": round(keen.inaudible, 2),
			"faint_s": round(mean.faint, 2), "faint_least_s": round(keen.faint, 2), "blurred_s": round(mean.blurred, 2),
			"blurred_least_s": round(keen.blurred, 2), "note_s": round(noteS, 2), "share_lost": round(eaten, 2), "more_than_share": round(1-rare, 4),
		}}
	e.notes(f, o)
	rarely := "; " + usual(rare, likeRoom)
	if meant {
		rarely = "" // the scores that the norms are made of have few marks
	}
	e.say(f, mean, keen, noteS, rarely)
	e.cures(f, o)
	return f
}

// sameChord reports whether an entry has no other notes, in whatever octave, than the half second before it: the same chord, softer.
func (c *Context) sameChord(o *field.Onset) bool {
	var had [12]bool
	for _, i := range c.soundingKeys(o.KeyS-breathS, o.KeyS) {
		had[c.note(i).Key%12] = true
	}
	return !slices.ContainsFunc(o.Notes, func(n int32) bool { return !had[c.note(n).Key%12] })
}

const (
	echoOnsets = 4    // of a passage that are the same again: less is a chord that stays
	echoBackS  = 15.0 // how far back the passage begins at the most, s: four bars at 64
)

// echoes reports whether an entry says again what was played just before it, in whatever octave: an echo.
func (c *Context) echoes(o *field.Onset) bool {
	ms := c.moments(func(n *performance.Note) bool { return n.OnS >= o.KeyS-echoBackS && n.OnS <= o.KeyS+echoBackS })
	at := sort.Search(len(ms), func(i int) bool { return ms[i].atS >= o.KeyS-togetherS })
	if at+echoOnsets > len(ms) {
		return false
	}
	for from := at - echoOnsets; from >= 0; from-- {
		same := 0
		for same < echoOnsets && c.alike(ms[from], ms[from+same], ms[at], ms[at+same]) {
			same++
		}
		if same == echoOnsets {
			return true
		}
	}
	return false
}

// alike reports whether a and b are of the same pitch classes and come as long after the beginnings of their passages.
func (c *Context) alike(first, a, begin, b moment) bool {
	classes := func(m moment) (set uint16) {
		for _, n := range m.notes {
			set |= 1 << (c.note(n).Key % 12)
		}
		return set
	}
	return classes(a) == classes(b) && math.Abs((a.atS-first.atS)-(b.atS-begin.atS)) <= 2*togetherS
}

// say writes what is lost in a sentence.
func (e *entry) say(f *Finding, mean, keen lost, noteS float64, rarely string) {
	var lost []string
	if mean.inaudible >= 0.1 {
		lost = append(lost, "inaudible for "+theFirst(keen.inaudible, mean.inaudible))
	}
	if mean.faint >= mean.inaudible+0.1 {
		lost = append(lost, "faint for "+theFirst(keen.faint, mean.faint))
	}
	what := list(append(lost, "blurred for "+theFirst(keen.blurred, mean.blurred)))
	tail := ""
	switch {
	case keen.inaudible > noteS:
		tail = fmt.Sprintf("; its first note, %.1f s long, is over before it can be heard", noteS)
	case mean.blurred >= noteS:
		tail = ", longer than its first note lasts"
	}
	f.Message = fmt.Sprintf("The music falls by %.0f dB here, and what came before still rings: the new passage is %s%s%s.", f.Measured["drop_db"], what, tail, rarely)
	if k, n := f.Measured["notes_lost"], f.Measured["notes"]; k > 0 && k < n {
		f.Message += fmt.Sprintf(" Lost for most of their length: %s.", list(f.lost))
	}
}

// theFirst writes a range of times from an entry on: "the first 0.6 to 0.8 s", or "up to 0.2 s" where the least is none.
func theFirst(least, most float64) string {
	if least < 0.05 && most >= 0.05 {
		return fmt.Sprintf("up to %.1f s", most)
	}
	return "the first " + fromTo(least, most, "s")
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
	f.lost = c.keyNames(lost)
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
	rt := c.rt()
	f.Measured["rest_needed_s"] = round(rest, 2)
	f.Measured["softer_needed_db"] = round(softer, 1)
	f.Measured["rt_needed_s"] = round(rt/quicker, 2)
	tempo := c.tempoAt(f.AtS)
	f.Try = append(f.Try,
		fmt.Sprintf("write a %s rest before the entry, or let the last chord go that much earlier (%.1f s)", NoteValue(rest, tempo), rest),
		fmt.Sprintf("bring the old passage down by %.0f dB before it stops, about %s", softer, steps(softer)),
		fmt.Sprintf("as written, it needs a reverberation time of about %.1f s; this room has %.1f s", rt/quicker, rt))
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
