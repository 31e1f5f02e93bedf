package remedy

import (
	"afterchord/sim/score"

	"afterchord/acoustics/plural"
)

// AlternateOctaves takes every second of repeated pedal notes an octave up, or down where there is no
// room: each pipe has twice the time, the upper one speaks sooner, and a dotted rhythm comes out
// (common practice). Where the page repeats little, every second note of the figure moves.
func AlternateOctaves(c *Case) []Draft {
	var out []Draft
	for _, all := range [2]bool{false, true} {
		for _, shift := range [2]int{12, -12} {
			if x, ok := c.alternate(all, shift); ok {
				out = append(out, x)
			}
		}
	}
	return out
}

func (c *Case) alternate(all bool, shift int) (Draft, bool) {
	d := c.pen()
	for _, fig := range c.figure() {
		if len(fig) == 0 || !c.Pedal(fig[0].notes[0].Part) {
			continue
		}
		div := &c.Input.Organ.Divisions[c.Division(fig[0].notes[0].Part)]
		moved := false
		for i := 1; i < len(fig); i++ {
			if moved || !all && !repeats(fig[i-1], fig[i]) {
				moved = false
				continue
			}
			moved = true
			for _, n := range fig[i].notes {
				if k := n.Key + shift; k >= div.LowKey && k <= div.HighKey && !c.crosses(n, k) {
					d.note(n.ID).Key = k
					d.touched[n.ID] = true
				} else {
					moved = false
				}
			}
		}
	}
	way := "up"
	if shift < 0 {
		way = "down"
	}
	what := "repeated pedal notes"
	if all {
		what = "pedal notes"
	}
	return d.finish(false, "Every second of the %s in %s goes an octave %s: %s. It costs the feet leaps of an octave.", what, c.bars(), way, plural.Count(len(d.touched), "note moves", "notes move"))
}

// crosses reports whether a note moved to key would lie above a note of another part that sounds with it and
// lay above it before, or below one that lay below.
func (c *Case) crosses(n score.Note, key int) bool {
	hit := false
	overlapping(c.Score(), n.On, n.Off, func(o score.Note) {
		if o.Part == n.Part {
			hit = hit || o.ID != n.ID && o.Key == key
			return
		}
		hit = hit || o.Key >= n.Key && key > o.Key || o.Key <= n.Key && key < o.Key
	})
	return hit
}
