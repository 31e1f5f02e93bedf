package remedy

import (
	"slices"

	"afterchord/sim/score"
)

// OctaveApart sets a solo off on an organ of one manual, where it and its accompaniment have one sound: the accompaniment an
// octave down, out of the tune's way, or the tune an octave up (common practice). Where there is another manual it is none of these.
func OctaveApart(c *Case) []Draft {
	notes := c.Notes()
	manuals := 0
	for _, d := range c.Input.Organ.Divisions {
		if !d.Pedal {
			manuals++
		}
	}
	if len(notes) == 0 || manuals > 1 {
		return nil
	}
	from, to := c.span()
	division := c.Division(notes[0].Part)
	var with []score.Note
	overlapping(c.Score(), from, to, func(n score.Note) {
		if c.Division(n.Part) == division && n.On >= from && n.On < to && !slices.Contains(c.Finding.Notes, n.ID) {
			with = append(with, n)
		}
	})
	if len(with) == 0 {
		return nil
	}
	shift := func(notes []score.Note, by int, format string) (Draft, bool) {
		d := c.pen()
		for _, n := range notes {
			d.note(n.ID).Key += by
			d.touched[n.ID] = true
		}
		return d.finish(false, format, c.bars())
	}
	var out []Draft
	if x, ok := shift(with, -12, "What goes with the tune in %s is played an octave down. It costs the accompaniment its clearness."); ok {
		out = append(out, x)
	}
	if x, ok := shift(notes, 12, "The tune in %s is played an octave up. It costs the tune its register."); ok {
		x.Price = 0.3
		out = append(out, x)
	}
	return out
}
