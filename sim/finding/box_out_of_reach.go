package finding

import (
	"fmt"

	"afterchord/acoustics/plural"
)

// BoxOutOfReach finds gradual changes of level that the swell box should make and cannot:
// the division stands in no box, or both feet are busy on the pedals while the right one
// should work the box (common practice: it stands in the middle, over E3 to F#3, and
// is the right foot's). Where the left foot alone can take the pedal notes nothing is said.
func BoxOutOfReach(c *Context) []Finding {
	var out []Finding
	for _, g := range c.graduals() {
		d := &c.Organ.Divisions[g.division]
		f := Finding{Kind: KindBoxOutOfReach, Severity: Warning, Count: 1, Division: d.Name, AtS: g.from, UntilS: g.to,
			Measured: map[string]float64{"lasts_s": round(g.to-g.from, 2)}}
		if g.amount > 0 {
			f.Measured["steps_of_127"] = round(g.amount, 0)
		}
		if !d.Enclosed {
			if c.noBox(&f, g) {
				out = append(out, f)
			}
			continue
		}
		if c.feetBusy(&f, g) {
			out = append(out, f)
		}
	}
	return out
}

func (c *Context) noBox(f *Finding, g gradual) bool {
	d := &c.Organ.Divisions[g.division]
	f.Weight = g.to - g.from
	f.Measured["enclosed"] = 0
	f.Message = fmt.Sprintf("The %s over %s (from %s) has nothing to make it: the %s stands in no swell box, and its pipes have one loudness.",
		g.word(), secs(g.to-g.from), g.source, d.Name)
	if d.Pedal {
		f.Severity = Notice
	}
	boxed := ""
	for _, o := range c.Organ.Divisions {
		if o.Enclosed && boxed == "" {
			boxed = o.Name
		}
	}
	if boxed != "" && !d.Pedal {
		f.Try = append(f.Try, fmt.Sprintf("play the passage on the %s, which has a box", boxed),
			fmt.Sprintf("couple the %s and let its box make the change", boxed))
	}
	if g.louder {
		f.Try = append(f.Try, "build it by thickening the chord, voice by voice", "add stops between the phrases, not under a held chord")
	} else {
		f.Try = append(f.Try, "thin the chord out, voice by voice", "retire stops between the phrases, not under a held chord")
	}
	return true
}

// substituteS is how long the right foot has a key at the most that the left foot then takes over silently, s: feet change on a held
// key as fingers do (common practice; the figure is a working one).
const substituteS = 1.0

// feetBusy reports whether the right foot is wanted on the pedals for too much of the change.
func (c *Context) feetBusy(f *Finding, g gradual) bool {
	var notes []int32
	feet, _ := c.limbsOf()
	for i, n := range c.Performance.Notes {
		if n.OnS < g.to && n.OffS > g.from && feet(&c.Performance.Notes[i]) {
			notes = append(notes, int32(i))
		}
	}
	if len(notes) == 0 {
		return false
	}
	in := map[int32]bool{}
	for _, i := range notes {
		in[i] = true
	}
	var ms []moment
	for _, m := range c.moments(feet) {
		for _, i := range m.notes {
			if in[i] {
				ms = append(ms, m)
				break
			}
		}
	}
	// What the left foot alone cannot do, the right foot has to, from shortly before the
	// note until it is let go.
	alone := c.footwork(ms, left)
	busy, missed := 0.0, 0
	until := g.from
	need := func(from, to float64) {
		from, to = max(from, g.from, until), min(to, g.to)
		if to > from {
			busy += to - from
			until = to
		}
	}
	for _, t := range alone {
		if t.busy || t.haveS < t.needS || t.leapM > 3*naturalM && t.gapS < t.needS {
			n := c.note(t.note)
			off := n.OffS
			if !t.busy { // of a long note the left foot takes over the key
				off = min(off, n.OnS+substituteS)
			}
			need(n.OnS-0.3, off+0.1) // the foot comes from the box and goes back to it (working figures)
			missed++
		}
	}
	share := busy / (g.to - g.from)
	f.Measured["pedal_notes"] = float64(len(notes))
	f.Measured["left_foot_misses"] = float64(missed)
	f.Measured["right_foot_share"] = round(share, 2)
	if share < c.Thresholds.BoxFeetShare {
		return false
	}
	if share > 0.75 {
		f.Severity = Fail
	}
	f.Weight = share * (g.to - g.from)
	f.Keys, f.Notes = c.keyNames(notes), c.noteIDs(notes)
	f.Message = fmt.Sprintf("The %s over %s (from %s) needs the right foot on the swell box, but of %s the left foot alone misses %d: both feet are busy for %.0f %% of it.",
		g.word(), secs(g.to-g.from), g.source, plural.Count(len(notes), "pedal note"), missed, 100*share)
	f.Try = []string{"hold one pedal note under the swell, or let the pedal rest",
		"move the pedal notes to the left hand, with no octaves, so that the right foot is free",
		"write the pedal for the left foot: steps and thirds, no two notes at once"}
	if g.louder {
		f.Try = append(f.Try, "build the crescendo by thickening the chord instead")
	}
	return true
}
