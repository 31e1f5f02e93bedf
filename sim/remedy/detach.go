package remedy

import "afterchord/sim/score"

// shares are how much of its length a detached note keeps, from the gentlest.
var shares = []struct {
	keep float64
	word string
}{{0.75, "three quarters"}, {0.5, "half"}, {1. / 3, "a third"}, {0.25, "a quarter"}}

// Detach shortens the chords that run into a change of harmony or a fall, or the strokes of
// a figure, so that each has rung down somewhat before the next: dense legato chords lose their
// harmony in a live room, detached ones keep it (common practice).
func Detach(c *Case) []Draft {
	ids := c.ringing()
	var out []Draft
	for _, s := range shares {
		d := c.pen()
		for _, id := range ids {
			n := d.note(id)
			d.shorten(id, n.On+score.Tick(float64(n.Off-n.On)*s.keep+0.5))
		}
		if x, ok := d.finish(false, "Detached before and in %s: %s %s of the written length.",
			c.bars(), count(len(d.touched), "note keeps", "notes keep"), s.word); ok {
			out = append(out, x)
		}
	}
	return out
}

// beforeFall is how far back chords are detached before a fall, in bars.
const beforeFall = 2

// ringing lists the notes whose sound runs into the finding's onsets.
func (c *Case) ringing() []int {
	s := c.Score()
	var ids []int
	seen := map[int]bool{}
	take := func(n score.Note) {
		if !seen[n.ID] {
			seen[n.ID] = true
			ids = append(ids, n.ID)
		}
	}
	onsets := c.Onsets()
	if len(onsets) == 0 {
		return nil
	}
	if c.Finding.Kind == "run-together" {
		part := c.Notes()[0].Part
		overlapping(s, onsets[0]-s.TicksPerCrotchet, onsets[len(onsets)-1], func(n score.Note) {
			if n.Part == part && n.On < onsets[len(onsets)-1] {
				take(n)
			}
		})
		return ids
	}
	for _, at := range onsets {
		from := at - s.TicksPerCrotchet
		if c.Finding.Kind == "covered-entry" {
			bar := s.Bars[s.BarAt(max(0, at-1))]
			from = bar.Start - (beforeFall-1)*bar.Length
		}
		overlapping(s, from, at, func(n score.Note) {
			if n.Off <= at+grid(s) { // what is held on through belongs to both
				take(n)
			}
		})
	}
	return ids
}
