package finding

import (
	"fmt"
	"math"
	"slices"

	"afterchord/acoustics/plural"
	"afterchord/sim/score"
)

// accents finds chords whose notes have different velocities and single notes struck harder than
// their neighbours, one finding a part.
func (c *Context) accents() []Finding {
	var out []Finding
	limit := int(c.Thresholds.EffectVelocity)
	for part := range c.Score.Parts {
		var chords, accents, voiced []chordTouch
		for _, n := range c.Score.Notes {
			if n.Part != part || n.Velocity == 0 {
				continue
			}
			if k := len(chords) - 1; k >= 0 && chords[k].at == n.On {
				chords[k].low, chords[k].high = min(chords[k].low, n.Velocity), max(chords[k].high, n.Velocity)
				chords[k].ids = append(chords[k].ids, n.ID)
				continue
			}
			chords = append(chords, chordTouch{n.On, n.Velocity, n.Velocity, []int{n.ID}})
		}
		many := 0
		for i, x := range chords {
			if len(x.ids) > 1 {
				many++
				if x.high-x.low >= limit {
					voiced = append(voiced, x)
				}
			}
			if i > 0 && i+1 < len(chords) && x.high-max(chords[i-1].high, chords[i+1].high) >= limit {
				accents = append(accents, x)
			}
		}
		share := c.Thresholds.EffectChordsShare
		if len(voiced) > 0 && float64(len(voiced)) >= share*float64(many) {
			f := c.touch(part, voiced, func(x chordTouch) int { return x.high - x.low })
			f.Message = fmt.Sprintf("In %s single notes are struck up to %d velocity steps harder than the rest: an organ key has no touch, and all the notes of a chord speak alike.",
				plural.Count(len(voiced), "chord"), int(f.Measured["most_steps"]))
			f.Try = []string{"play the note that is to stand out on another manual", "double it at the octave, or let it begin alone"}
			out = append(out, f)
		}
		if len(accents) > 0 && float64(len(accents)) >= share/2*float64(len(chords)) {
			f := c.touch(part, accents, func(x chordTouch) int { return x.high })
			f.Message = fmt.Sprintf("%s accented by a harder touch: on the organ they sound like their neighbours.", areWere(len(accents), "note or chord", "notes or chords"))
			f.Try = []string{"make the accent by length: a short silence before the note, the note itself held full", "thicken the chord on the accent"}
			out = append(out, f)
		}
	}
	return out
}

type chordTouch struct {
	at        score.Tick
	low, high int
	ids       []int
}

func (c *Context) touch(part int, xs []chordTouch, size func(chordTouch) int) Finding {
	f := Finding{Kind: KindNoSuchEffect, Severity: Notice, Division: c.divisionOfPart(part), Count: len(xs),
		AtS: c.Score.Seconds(xs[0].at), UntilS: c.Score.Seconds(xs[len(xs)-1].at), Measured: map[string]float64{}}
	most := 0
	for _, x := range xs {
		most = max(most, size(x))
		f.Notes = append(f.Notes, x.ids...)
	}
	f.Measured["places"], f.Measured["most_steps"] = float64(len(xs)), float64(most)
	return f
}

// twoLoudnesses finds parts with different dynamics on one keyboard at one time.
func (c *Context) twoLoudnesses() []Finding {
	var out []Finding
	ps := c.Performance.Passages
	type pair struct{ a, b int }
	at := map[pair]int{}
	for i, a := range ps {
		for _, b := range ps[i+1:] {
			if a.Part == b.Part || a.Division != b.Division || a.Dynamic == b.Dynamic {
				continue
			}
			from, to := max(a.From, b.From), min(a.To, b.To)
			bar := c.Score.Bars
			if to <= from || len(bar) > 0 && to-from < bar[c.Score.BarAt(from)].Length || !c.bothPlay(a.Part, b.Part, from, to) {
				continue
			}
			k := pair{a.Part, b.Part}
			if j, ok := at[k]; ok {
				out[j].UntilS = max(out[j].UntilS, c.Score.Seconds(to))
				out[j].Count++
				continue
			}
			name := c.Organ.Divisions[a.Division].Name
			f := Finding{Kind: KindNoSuchEffect, Severity: Warning, Division: name, Count: 1,
				AtS: c.Score.Seconds(from), UntilS: c.Score.Seconds(to), Measured: map[string]float64{}}
			f.Measured["dynamics_apart"] = math.Abs(float64(a.Dynamic - b.Dynamic))
			f.Measured["lasts_s"] = round(f.UntilS-f.AtS, 2)
			f.Weight = f.UntilS - f.AtS
			if a.MeanVel > 0 || b.MeanVel > 0 { // a touch that one staff was given is no mark that somebody wrote
				f.Severity = Notice
			}
			f.Message = fmt.Sprintf("%s is %s and %s is %s, both on the %s: one keyboard has one loudness, and every stop that is drawn sounds for both.",
				c.Score.Parts[a.Part].Name, a.Dynamic, c.Score.Parts[b.Part].Name, b.Dynamic, name)
			f.Try = []string{"play the two parts on two manuals", "write one dynamic for both"}
			at[k] = len(out)
			out = append(out, f)
		}
	}
	return out
}

// twoMarks finds a staff of two voices that has two marks at one place, a line in mf inside chords in p: both are played on one keyboard.
func (c *Context) twoMarks() []Finding {
	var out []Finding
	for i, a := range c.Score.Words {
		level, ok := score.ParseDynamic(a.Text)
		if a.Kind != score.Mark || !ok || a.Part < 0 {
			continue
		}
		for _, b := range c.Score.Words[i+1:] {
			if b.At != a.At {
				break
			}
			other, ok := score.ParseDynamic(b.Text)
			if b.Kind != score.Mark || !ok || b.Part != a.Part || other == level || c.voicesAt(a.Part, a.At) < 2 {
				continue
			}
			at := c.Score.Seconds(a.At)
			name := c.divisionOfPart(a.Part)
			f := Finding{Kind: KindNoSuchEffect, Severity: Warning, Division: name, Count: 1, AtS: at, UntilS: at + c.barS(a.At), Weight: c.barS(a.At),
				Measured: map[string]float64{"dynamics_apart": math.Abs(float64(level - other))}}
			f.Message = fmt.Sprintf("%s and %s stand at one place over one staff (%s), and the %s plays it: one keyboard has one loudness, and the one that stands last is taken.",
				level, other, c.Score.Parts[a.Part].Name, name)
			f.Try = []string{"play the two parts on two manuals", "write one dynamic for both"}
			out = append(out, f)
		}
	}
	return out
}

// voicesAt is how many voices of a part sound in the bar of a place.
func (c *Context) voicesAt(part int, at score.Tick) int {
	bar := c.Score.Bars[c.Score.BarAt(at)]
	voices := map[int]bool{}
	for _, n := range c.Score.Notes {
		if n.Part == part && n.Off > bar.Start && n.On < bar.Start+bar.Length {
			voices[n.Voice] = true
		}
	}
	return len(voices)
}

// barS is how long the bar of a place lasts, s.
func (c *Context) barS(at score.Tick) float64 {
	bar := c.Score.Bars[c.Score.BarAt(at)]
	return c.Score.Seconds(bar.Start+bar.Length) - c.Score.Seconds(bar.Start)
}

// bothPlay reports whether two parts sound together between two places, for a crotchet in all: parts that take turns, as an echo does, leave
// time for the stops.
func (c *Context) bothPlay(a, b int, from, to score.Tick) bool {
	var until [2]score.Tick // last key up of each so far
	together := score.Tick(0)
	for _, n := range c.Score.Notes { // by when they begin
		k := slices.Index([]int{a, b}, n.Part)
		if k < 0 || n.On >= to || n.Off <= from {
			continue
		}
		on, off := max(n.On, from, until[k]), min(n.Off, to)
		if on < off {
			together += max(0, min(off, until[1-k])-max(on, from))
			until[k] = off
		}
	}
	return together >= c.Score.TicksPerCrotchet
}
