package remedy

import (
	"fmt"
	"slices"

	"afterchord/acoustics/plural"
	"afterchord/sim/finding"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// Thicken takes the hairpin off and lets the chord grow instead: from the second third of the passage on
// one more key in each chord, in the last third two, all of them notes of the chord between its outer keys or
// an octave within a hand's reach above (common practice: the organ's own crescendo).
func Thicken(c *Case) []Draft {
	from, to := c.span()
	parts := c.thickenable(from, to)
	var out []Draft
	for _, most := range []int{2, 3} {
		d := c.pen()
		gone := c.dropHairpins(d, from, to)
		for _, p := range parts {
			st := strokes(c.Score(), p, from, to-1)
			for i, s := range st {
				extra := i * (most + 1) / max(1, len(st))
				for _, key := range c.filling(s, p, extra) {
					n := s.notes[0]
					n.Key = key
					d.add(n)
				}
			}
		}
		if x, ok := d.finish(false, "The crescendo in %s is built by thickening the chord: %s added, up to %d in a chord%s. It costs the lightness of the texture.",
			c.bars(), plural.Count(len(d.touched), "key is", "keys are"), most, gone); ok {
			out = append(out, x)
		}
	}
	return out
}

// thickenable lists the manual parts of the finding's division that play chords in the passage.
func (c *Case) thickenable(from, to score.Tick) []int {
	var out []int
	for p := range c.Score().Parts {
		if c.Pedal(p) || !shareDivision(c.Finding.Division, c.divisionName(p)) {
			continue
		}
		for _, s := range strokes(c.Score(), p, from, to-1) {
			if len(s.notes) >= 2 {
				out = append(out, p)
				break
			}
		}
	}
	return out
}

// filling lists up to n keys that a stroke lacks: its own pitch classes between its outer keys, then above
// within an octave of the lowest key.
func (c *Case) filling(s stroke, part, n int) []int {
	if len(s.notes) < 2 || n <= 0 {
		return nil
	}
	div := &c.Input.Organ.Divisions[c.Division(part)]
	taken, classes := map[int]bool{}, map[int]bool{}
	overlapping(c.Score(), s.at, s.notes[0].Off, func(x score.Note) {
		taken[x.Key] = taken[x.Key] || x.Part == part
	})
	for _, x := range s.notes {
		classes[x.Key%12] = true
	}
	low, high := s.notes[0].Key, s.notes[len(s.notes)-1].Key
	var out []int
	for k := low + 1; k <= max(high, low+12) && len(out) < n; k++ {
		if classes[k%12] && !taken[k] && k <= div.HighKey {
			out = append(out, k)
		}
	}
	return out
}

// dropHairpins takes gradual marks, and orders that add stops under a held chord, out of the passage, and says so: "; its hairpin
// goes".
func (c *Case) dropHairpins(d *draft, from, to score.Tick) string {
	hairpins, orders := 0, 0
	stepped := map[score.Tick]bool{}
	if c.Finding.Kind == finding.KindSteppedCrescendo {
		for _, x := range c.Performance.Changes {
			stepped[x.Tick] = x.Tick > from && x.Tick < to
		}
	}
	d.Words = slices.DeleteFunc(d.Words, func(w score.Word) bool {
		switch w.Kind {
		case score.Hairpin:
			gone := w.At >= from && w.At <= to
			if gone && w.Text != "stop" {
				hairpins++
			}
			return gone
		case score.Text, score.Direction, score.Marker:
			_, stops := voicing.ParseRegistration(c.Input.Organ, w.Text)
			if stops && stepped[w.At] {
				orders++
				return true
			}
		}
		return false
	})
	switch {
	case hairpins > 0 && orders > 0:
		return "; its hairpins and the orders for stops under it go"
	case hairpins == 1:
		return "; its hairpin goes"
	case hairpins > 1:
		return fmt.Sprintf("; its %d hairpins go", hairpins)
	case orders > 0:
		return "; the orders for stops under it go"
	}
	return ""
}
