package finding

import (
	"fmt"
	"math"
	"math/bits"
	"slices"

	"afterchord/acoustics/hearing"
	"afterchord/sim/field"
)

// minBlurS is the shortest stretch of unclear harmony that is worth a word, s.
const minBlurS = 0.3

// BlurredHarmony finds changes of harmony where what is left of the old one is, to the
// ear, plainly heard beside the new one for a good part of its length. What the new harmony masks or shares
// with the old does not count: the residue's partial loudness is taken with the new sound as its masker.
func BlurredHarmony(c *Context) []Finding {
	var out []Finding
	f := c.Field
	changes := c.harmonyChanges()
	falls := c.falls()
	for i, at := range changes {
		o := &f.Onsets[at]
		end := o.HeardS + 2
		if i+1 < len(changes) {
			end = min(end, f.Onsets[changes[i+1]].HeardS)
		}
		inTail := false
		for _, s := range falls {
			inTail = inTail || s.FromS <= o.HeardS && o.HeardS < s.UntilS
			if s.FromS > o.HeardS {
				end = min(end, s.FromS)
				break
			}
		}
		if inTail {
			continue // a fall of level and what lies in its tail is a covered entry
		}
		from, to := int(o.HeardS/f.StepS)+1, min(int(end/f.StepS), len(f.Clarity))
		if to-from < 2 {
			continue
		}
		mean, unclear := 0.0, 0
		for _, v := range f.Clarity[from:to] {
			mean += float64(v) / float64(to-from)
			if float64(v) < c.Thresholds.BlurClarity {
				unclear++
			}
		}
		long := float64(unclear) * f.StepS
		if long < minBlurS || long < c.Thresholds.BlurWarnShare*(end-o.HeardS) {
			continue
		}
		out = append(out, c.blurred(o, mean, long, end))
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

// harmonyS is how far back a note still belongs to the harmony of the moment, s: a broken
// chord comes round within it at usual tempi, two chords in turn do not.
const harmonyS = 0.9

// harmonyKeys is how many keys must be down for an onset to be a harmony: a lone voice
// or two have passing notes, no chords.
const harmonyKeys = 3

// harmonyChanges are the onsets at which the harmony changes: they bring two pitch classes, or
// the bass brings one, that no note of the last harmonyS seconds had. A single fresh note
// above the bass is a passing note.
func (c *Context) harmonyChanges() []int {
	var out []int
	var last [12]float64 // when each pitch class was last held
	for i := range last {
		last[i] = math.Inf(-1)
	}
	var down []int32 // notes held
	for i := range c.Field.Onsets {
		o := &c.Field.Onsets[i]
		kept := down[:0]
		for _, n := range down {
			if c.Performance.Notes[n].OffS > o.KeyS+overlapS {
				kept = append(kept, n)
			}
		}
		down = append(kept, o.Notes...)
		bass := math.MaxInt
		for _, n := range down {
			bass = min(bass, c.Performance.Notes[n].Key)
		}
		var fresh uint16
		bassMoves := false
		for _, n := range o.Notes {
			key := c.Performance.Notes[n].Key
			if last[key%12] < o.KeyS-harmonyS {
				fresh |= 1 << (key % 12)
				bassMoves = bassMoves || key == bass
			}
		}
		for _, n := range o.Notes {
			x := c.Performance.Notes[n]
			last[x.Key%12] = max(last[x.Key%12], x.OffS)
		}
		if i > 0 && len(down) >= harmonyKeys && (bits.OnesCount16(fresh) >= 2 || bassMoves) {
			out = append(out, i)
		}
	}
	return out
}

func (c *Context) blurred(o *field.Onset, clarity, unclearS, end float64) Finding {
	sev := Warning
	share := min(1, unclearS/(end-o.HeardS))
	if share >= c.Thresholds.BlurFailShare {
		sev = Fail
	}
	n := c.Hearing.N()
	old, now := make([]float64, n), make([]float64, n)
	t := o.HeardS + 0.1
	c.Field.ResidueAt(old, o, t)
	c.Field.Energy(now, c.Field.Sounding(nil, t), t)
	added := c.roughness(old, now) - c.roughness(nil, now)
	f := Finding{AtS: o.KeyS, UntilS: o.KeyS + (end - o.HeardS), Division: c.divisionsOf(o.Notes), Keys: c.keyNames(o.Notes),
		Severity: sev, Weight: unclearS, Notes: c.noteIDs(o.Notes), Trace: c.harmonyTrace(o.HeardS, end),
		Measured: map[string]float64{"clarity": round(clarity, 2), "unclear_s": round(unclearS, 2), "share_lost": round(share, 2),
			"foreign_db": round(field.DB(old)-field.DB(now), 1), "roughness": round(added, 3)}}
	f.Message = fmt.Sprintf("The old harmony still sounds under the new one: for %.1f s, %.0f %% of its length, it is more than half as loud to the ear as the new harmony.",
		unclearS, 100*share)
	f.Try = []string{"detach the chords: let each go well before the next", "slow the harmonic rhythm, or keep common notes through the change",
		"draw less: a softer, thinner registration leaves the ear more room"}
	return f
}

// harmonyTrace is the level of what is left over against what sounds from just before a change
// of harmony to the next, with the stretch where the old harmony is plainly heard.
func (c *Context) harmonyTrace(from, until float64) *Trace {
	f := c.Field
	a, b := max(0, int(from/f.StepS)-5), min(int(until/f.StepS)+1, len(f.LevelDB))
	if b <= a {
		return nil
	}
	t := &Trace{FromS: float64(a) * f.StepS, StepS: f.StepS, OldDB: slices.Clone(f.ResidueDB[a:b]), NewDB: slices.Clone(f.LevelDB[a:b]),
		Share: slices.Clone(f.Clarity[a:b]), OldTag: "the old harmony", NewTag: "the new one"}
	last := -1
	for i := int(from / f.StepS); i < b; i++ {
		if float64(f.Clarity[i]) < c.Thresholds.BlurClarity {
			last = i
		}
	}
	if last >= 0 {
		t.Spans = []Span{{"blurred", from, float64(last+1) * f.StepS}}
	}
	return t
}

// roughness of two sets of auditory band powers sounding together: the strongest bands as
// tones at their centres.
func (c *Context) roughness(a, b []float64) float64 {
	var comps []hearing.Component
	for i, hz := range c.Hearing.Bands() {
		p := b[i]
		if a != nil {
			p += a[i]
		}
		if p > 10 { // 10 dB SPL
			comps = append(comps, hearing.Component{Hz: hz, LevelDB: field.DB([]float64{p})})
		}
	}
	return hearing.Roughness(comps)
}
