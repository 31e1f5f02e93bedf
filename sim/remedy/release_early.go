package remedy

import "afterchord/sim/score"

// ReleaseEarly lets go what sounds before the entry early by the silence that the model asks
// for, in whole note values, and marks the place with a comma. A note keeps at least a third of its
// length.
func ReleaseEarly(c *Case) []Draft {
	s := c.Score()
	var rests []float64
	if r := c.Finding.Measured["rest_needed_s"]; r > 0 {
		rests = []float64{0.5 * r, r, 1.3 * r}
	} else {
		if len(c.Onsets()) == 0 {
			return nil
		}
		beat := c.lasts(s.TicksPerCrotchet, c.Onsets()[0])
		rests = []float64{beat / 4, beat / 2, beat}
	}
	var out []Draft
	last := score.Tick(0)
	for _, rest := range rests {
		d := c.pen()
		longest := score.Tick(0)
		for _, at := range c.Onsets() {
			early := c.ticksOf(rest, at)
			released := false
			overlapping(s, at-max(early, s.TicksPerCrotchet/2), at, func(n score.Note) {
				if n.Off > at+grid(s) {
					return
				}
				before := d.note(n.ID).Off
				d.shorten(n.ID, max(at-early, n.On+(n.Off-n.On)/3))
				if cut := before - d.note(n.ID).Off; cut > 0 {
					released, longest = true, max(longest, cut)
				}
			})
			if released {
				d.word(score.Word{At: max(0, at-early), Part: -1, Kind: score.Text, Text: ","})
			}
		}
		if longest == last {
			continue
		}
		last = longest
		if x, ok := d.finish(false, "%s before the entry in %s %s let go early: %s (%.2f s) stands there.",
			count(len(d.touched), "note", "notes"), c.bars(), isAre(len(d.touched)), restOf(s, longest), c.lasts(longest, c.Onsets()[0])); ok {
			out = append(out, x)
		}
	}
	return out
}
