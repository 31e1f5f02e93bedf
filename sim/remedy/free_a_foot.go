package remedy

import (
	"slices"

	"afterchord/acoustics/plural"
	"afterchord/sim/finding"

	"afterchord/sim/score"
)

// FreeAFoot moves pedal notes to the left hand, so that a foot is free for the box or has time to get
// where it must: first the upper notes where two are held, then every second note, then the passage.
func FreeAFoot(c *Case) []Draft {
	to := c.leftHand()
	if to < 0 {
		return nil
	}
	from, until := c.span()
	var all []stroke
	for _, p := range c.pedalParts() {
		if c.Finding.Kind == finding.KindPedalReach && len(c.Onsets()) > 0 {
			on := c.Onsets()
			all = append(all, strokes(c.Score(), p, on[0], on[len(on)-1])...)
			continue
		}
		all = append(all, strokes(c.Score(), p, from, until)...)
	}
	slices.SortStableFunc(all, func(a, b stroke) int { return int(a.at - b.at) })
	picks := []struct {
		what string
		pick func(i int, s stroke) []score.Note
	}{
		{"the upper of two pedal notes", func(_ int, s stroke) []score.Note { return s.notes[min(1, len(s.notes)):] }},
		{"every second pedal note", func(i int, s stroke) []score.Note {
			if i%2 == 1 {
				return s.notes
			}
			return nil
		}},
		{"the pedal notes", func(_ int, s stroke) []score.Note { return s.notes }},
	}
	var out []Draft
	for _, p := range picks {
		d := c.pen()
		for i, s := range all {
			for _, n := range p.pick(i, s) {
				if low := c.Input.Organ.Divisions[c.Division(to)].LowKey; n.Key >= low {
					d.note(n.ID).Part, d.note(n.ID).Voice = to, 0
					d.touched[n.ID] = true
				}
			}
		}
		if x, ok := d.finish(false, "In %s the left hand on the %s takes %s: %s. It costs the left hand its freedom.", c.bars(), c.divisionName(to), p.what,
			plural.Count(len(d.touched), "note")); ok {
			out = append(out, x)
		}
	}
	return out
}

// leftHand is the manual part that lies lowest in the passage, -1 where none plays.
func (c *Case) leftHand() int {
	from, to := c.span()
	sum, n := map[int]int{}, map[int]int{}
	overlapping(c.Score(), from, to, func(x score.Note) {
		if !c.Pedal(x.Part) {
			sum[x.Part] += x.Key
			n[x.Part]++
		}
	})
	best := -1
	for p := range c.Score().Parts {
		if n[p] > 0 && (best < 0 || sum[p]*n[best] < sum[best]*n[p]) {
			best = p
		}
	}
	return best
}
