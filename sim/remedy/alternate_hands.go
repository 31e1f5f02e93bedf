package remedy

import "afterchord/acoustics/plural"

// AlternateHands makes a toccata figure of repeated chords: the right hand strikes the upper
// keys, the left hand the lower ones in turn, so that each key has twice the time to rise and
// each pipe a gap twice as long. Repeated single notes and pairs alternate the octave below.
func AlternateHands(c *Case) []Draft {
	d := c.pen()
	chords := 0
	for _, fig := range c.figure() {
		if len(fig) == 0 || c.Pedal(fig[0].notes[0].Part) {
			continue
		}
		odd := false // the left hand's turn
		for i := 1; i < len(fig); i++ {
			if !repeats(fig[i-1], fig[i]) {
				odd = false
				continue
			}
			if !odd { // the stroke before is the right hand's
				d.half(fig[i-1], true)
			}
			odd = !odd
			d.half(fig[i], !odd)
			chords++
		}
	}
	verb := "alternate"
	if chords == 1 {
		verb = "alternates"
	}
	x, ok := d.finish(false, "%s in %s %s between the hands, the upper keys in the right and the lower in the left. It costs the weight of the full chord.",
		plural.Count(chords, "repeated chord"), c.bars(), verb)
	if !ok {
		return nil
	}
	return []Draft{x}
}

// half keeps the upper or the lower half of a chord; of one or two keys the upper hand keeps all and the
// lower one takes them an octave down.
func (d *draft) half(s stroke, upper bool) {
	if len(s.notes) < 3 {
		if upper {
			return
		}
		for _, n := range s.notes {
			d.note(n.ID).Key -= 12
			d.touched[n.ID] = true
		}
		return
	}
	middle := len(s.notes) / 2
	for i, n := range s.notes {
		if upper == (i < middle) && d.note(n.ID).Off >= 0 {
			d.remove(n.ID)
		}
	}
}
