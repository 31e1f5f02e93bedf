package finding

import (
	"fmt"
	"math"
	"slices"

	"afterchord/acoustics/hearing"
	"afterchord/sim/field"
)

// BlurredHarmony finds changes of harmony at which what is left of the old harmony stays more than half as
// loud to the ear as the new one for unusually long. The old harmony is what the change itself finds in the
// room, and no more: what later notes leave is not its own. It counts by what it does to the new one
// (see disturbance): an octave of a new note hardly disturbs, a semitone beside one does.
func BlurredHarmony(c *Context) []Finding {
	var out []Finding
	falls := c.falls()
	b := newBlur(c)
	for _, x := range HarmonyBlurs(c) {
		o := &c.Field.Onsets[x.change.onset]
		if slices.ContainsFunc(falls, func(s Span) bool { return s.FromS <= o.HeardS && o.HeardS < s.UntilS }) {
			continue // a fall of level and what lies in its tail is a covered entry
		}
		if f, ok := b.judge(x); ok {
			out = append(out, f)
		}
	}
	return out
}

// falls are the stretches, in order, that the tail of a fall in level rules: as long as the room
// takes to decay by what the music falls by.
func (c *Context) falls() []Span {
	var out []Span
	for _, i := range c.fallsInLevel() {
		o := &c.Field.Onsets[i]
		drop := float64(o.OldDB - o.NewDB)
		out = append(out, Span{"fall", o.HeardS, o.HeardS + c.Field.Hall.Room.RT(500)*drop/60})
	}
	return out
}

// blur measures changes of harmony.
type blur struct {
	c        *Context
	work     *hearing.Work
	old, now []float64
	held     []float64 // what the notes that stay give
	let      *field.Ringing
}

func newBlur(c *Context) *blur {
	n := c.Hearing.N()
	return &blur{c: c, work: c.Hearing.NewWork(), old: make([]float64, n), now: make([]float64, n), held: make([]float64, n), let: c.Field.Hall.NewRinging()}
}

const (
	soonestS = 0.04 // the first moment after a change that is looked at, s
	latestS  = 10   // and the last: longer than any church blurs
)

// heardChange is one change of harmony made ready to be heard, until the next is.
type heardChange struct {
	onset    *field.Onset
	fresh    *field.Rising  // what begins; nil where it is a broken chord
	broken   []int32        // notes of the broken chord
	old      []int32        // and of what it follows
	begins   []field.Chord  // what the broken chord opens
	rings    []field.Chord  // and what it follows has left, where it is not let go as the change comes
	let      *field.Ringing // of what is
	disturbs float64        // share of the old harmony
	tones    float64        // of it that clash
}

// prepare fills b.held with what the notes give that stay.
func (b *blur) prepare(ch harmonyChange) heardChange {
	c := b.c
	o := &c.Field.Onsets[ch.onset]
	clear(b.held)
	share, tones := c.disturbance(ch.old, ch.now, o.KeyS)
	if ch.broken != nil {
		b.let.Clear()
		x := heardChange{onset: o, broken: ch.broken, old: ch.old, begins: c.chordsOf(ch.broken), let: b.let, disturbs: share, tones: tones}
		for _, old := range c.chordsOf(ch.old) {
			if c.Field.ShutChordS(&old) <= o.HeardS+soonestS {
				x.let.AddChord(&old)
			} else {
				x.rings = append(x.rings, old)
			}
		}
		return x
	}
	var rising []int32
	for _, e := range c.Field.Sounding(nil, o.AtS) {
		if c.Field.Events[e].OnS < o.KeyS {
			c.Field.Steady(b.held, []int32{e}, o.KeyS)
		} else {
			rising = append(rising, e)
		}
	}
	return heardChange{onset: o, fresh: c.Field.Rising(rising, o.KeyS), disturbs: share, tones: tones}
}

// chordsOf are the chords that notes open.
func (c *Context) chordsOf(notes []int32) []field.Chord {
	var out []field.Chord
	for _, n := range notes {
		out = c.Field.Chords(out, int(n))
	}
	return out
}

// sounds fills b.old and b.now with what the old harmony has left and what there is of the new one, s seconds after the change.
func (b *blur) sounds(x heardChange, s float64) {
	clear(b.old)
	at := x.onset.HeardS + s
	if x.fresh == nil {
		clear(b.now)
		b.c.Field.Hall.AddChords(b.now, x.begins, at)
		b.c.Field.Hall.AddChords(b.old, x.rings, at)
		x.let.At(b.old, at)
		return
	}
	b.c.Field.ResidueAt(b.old, x.onset, at)
	copy(b.now, b.held)
	x.fresh.Add(b.now, s)
}

// mean is how long a change of harmony takes to be clear to the mean ear, s, 0 where it is at once, and how many old tones clash with it.
func (b *blur) mean(ch harmonyChange) (blurS, tones float64) {
	x := b.prepare(ch)
	return b.until(b.c.Hearing, 0, x, 1), x.tones
}

// until finds when the change is clear: the old sound decays and the new one fills the room, so it is clear from then on. The masked
// thresholds of m lie keen dB below the mean ear's.
func (b *blur) until(m *hearing.Model, keen float64, x heardChange, factor float64) float64 {
	return field.Recall(b.c.Field.Hall, "blurred until", func(f *field.Figures) {
		f.Float(keen, factor, x.disturbs, b.c.Thresholds.BlurClarity)
		if x.fresh == nil {
			f.Chords(b.c.chordsOf(x.broken))
			f.Chords(b.c.chordsOf(x.old))
			f.Float(x.onset.HeardS)
			f.Boxes(x.onset.HeardS-latestS, x.onset.HeardS+latestS)
			return
		}
		f.Residue(x.onset)
		f.Float(b.held...)
		f.Rising(x.fresh)
	}, func() float64 { return b.search(m, x, factor) })
}

// blurSteps is how many moments between soonestS and latestS, evenly spaced on a logarithmic scale, a change may be clear from: 1.1 % apart.
const blurSteps = 512

func (b *blur) search(m *hearing.Model, x heardChange, factor float64) float64 {
	c := b.c
	beyond := func(s float64) float64 { // how far the clarity lies above what is clear
		b.sounds(x, s)
		for i := range b.old {
			b.old[i] *= factor
		}
		part, _, left := m.Beside(b.now, b.old, c.Field.Noise, b.work)
		return part - c.Thresholds.BlurClarity*(part+x.disturbs*left)
	}
	at := func(i int) float64 { return soonestS * math.Pow(latestS/soonestS, float64(i)/blurSteps) }
	first := beyond(soonestS)
	if first >= 0 {
		return 0
	}
	return at(stepReached(blurSteps, blurSteps/2, first, 0, func(i int) float64 { return beyond(at(i)) }))
}

func (b *blur) judge(heard HarmonyBlur) (Finding, bool) {
	c := b.c
	mean, least := heard.BlurS, c.Thresholds.BlurLeastS
	if mean < least {
		return Finding{}, false
	}
	x := b.prepare(heard.change)
	// to keen ears the masked threshold lies lower, and two of them hear less of the old sound
	keen := min(mean, b.until(c.keen(), c.Thresholds.KeenDB, x, math.Pow(10, -c.Thresholds.TwoEarsDB/10)))
	sev, rare := c.verdict(MeasureBlur, heard.clash(), true, keen >= least)
	if sev == "" {
		return Finding{}, false
	}
	if keen < min(c.Thresholds.BlurWarnS, c.Thresholds.BlurWarnPart*heard.LengthS) {
		sev = Notice // the new harmony is clear for most of its length: how a large church sounds
	}
	o := x.onset
	t := o.HeardS + 0.1
	clear(b.old)
	clear(b.now)
	c.Field.ResidueAt(b.old, o, t)
	c.Field.Energy(b.now, c.Field.Sounding(nil, t), t)
	added := c.roughness(b.old, b.now) - c.roughness(nil, b.now)
	f := Finding{AtS: o.KeyS, UntilS: o.KeyS + mean, Division: c.divisionsOf(o.Notes), Keys: c.keyNames(o.Notes),
		Severity: sev, Weight: mean, Notes: c.noteIDs(o.Notes), Trace: c.harmonyTrace(o.HeardS, mean),
		Measured: map[string]float64{"blurred_s": round(mean, 2), "blurred_least_s": round(keen, 2), "disturbing_share": round(x.disturbs, 2), "clashing_tones": round(x.tones, 1),
			"foreign_db": round(field.DB(b.old)-field.DB(b.now), 1), "roughness": round(added, 3), "more_than_share": round(1-rare, 4)}}
	f.Message = fmt.Sprintf("The old harmony still sounds under the new one: for %s it is more than half as loud to the ear, and %s; %s.", fromTo(keen, mean, "s"), clashes(x.tones), usual(rare, likeRoom))
	f.Try = []string{"detach the chords: let each go well before the next", "slow the harmonic rhythm, or keep common notes through the change",
		"draw less: a softer, thinner registration leaves the ear more room"}
	return f, true
}

// clashes says how many tones of the old harmony clash with the new one: "two or three of its tones clash with it".
func clashes(tones float64) string {
	low := int(tones)
	switch part := tones - float64(low); {
	case tones < 0.75:
		return "hardly one of its tones clashes with it"
	case part >= 0.75:
		low++
	case part > 0.25:
		return fmt.Sprintf("%s or %s of its tones clash with it", inWords(low), inWords(low+1))
	}
	if low == 1 {
		return "one of its tones clashes with it"
	}
	return fmt.Sprintf("about %s of its tones clash with it", inWords(low))
}

// harmonyTrace is the level of what is left over against what sounds from just before a change
// of harmony until a while after it is clear, with the stretch where the old harmony is plainly heard.
func (c *Context) harmonyTrace(from, blurredS float64) *Trace {
	f := c.Field
	a, b := max(0, int(from/f.StepS)-5), min(int((from+1.5*blurredS+0.3)/f.StepS)+1, len(f.LevelDB))
	if b <= a {
		return nil
	}
	var clarity []float32 // nil where the ear was not asked
	if f.Clarity != nil {
		clarity = slices.Clone(f.Clarity[a:b])
	}
	return &Trace{FromS: float64(a) * f.StepS, StepS: f.StepS, OldDB: slices.Clone(f.ResidueDB[a:b]), NewDB: slices.Clone(f.LevelDB[a:b]),
		Share: clarity, OldTag: "the old harmony", NewTag: "the new one", Spans: []Span{{"blurred", from, from + blurredS}}}
}

// roughness of two sets of auditory band powers sounding together.
func (c *Context) roughness(a, b []float64) float64 {
	sum := slices.Clone(b)
	for i, p := range a {
		sum[i] += p
	}
	return hearing.Roughness(c.Hearing.Tones(sum, 10)) // 10 dB SPL
}
