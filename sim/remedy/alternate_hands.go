package remedy

import (
	"slices"

	"afterchord/acoustics/plural"
	"afterchord/sim/score"
)

// AlternateHands makes a toccata figure of repeated chords: the right hand strikes the upper
// keys, the left hand the lower ones in turn, so that each key has twice the time to rise and
// each pipe a gap twice as long. Repeated single notes and pairs alternate the octave below. Where the other hand has something of its
// own at the time there is none to share with.
func AlternateHands(c *Case) []Draft {
	d := c.pen()
	chords, pairs := 0, 0
	for _, fig := range c.bothHands(c.figure()) {
		odd := false // the left hand's turn
		for i := 1; i < len(fig); i++ {
			same := repeats(fig[i-1], fig[i])
			if same {
				pairs++
			}
			if !same || !c.otherHandFree(fig[i-1]) || !c.otherHandFree(fig[i]) {
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
	if 2*chords < pairs { // here and there it is no figure
		return nil
	}
	verb := "alternate"
	if chords == 1 {
		verb = "alternates"
	}
	return single(d.finish(false, "%s in %s %s between the hands, the upper keys in the right and the lower in the left. It costs the weight of the full chord.",
		plural.Count(chords, "repeated chord"), c.bars(), verb))
}

// bothHands puts to the strokes of each figure on a manual what the other parts on manuals strike with them; a figure that is in another's
// strokes by then is none of its own.
func (c *Case) bothHands(figures [][]stroke) [][]stroke {
	seen := map[int]bool{}
	var out [][]stroke
	for _, fig := range figures {
		var all []stroke
		for _, s := range fig {
			if seen[s.notes[0].ID] || c.Pedal(s.notes[0].Part) {
				continue
			}
			full := stroke{at: s.at}
			overlapping(c.Score(), s.at, s.at+1, func(n score.Note) {
				if n.On == s.at && !c.Pedal(n.Part) {
					full.notes = append(full.notes, n)
					seen[n.ID] = true
				}
			})
			slices.SortStableFunc(full.notes, func(a, b score.Note) int { return a.Key - b.Key })
			all = append(all, full)
		}
		out = append(out, all)
	}
	return out
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

// otherHandFree reports whether no key is down on a manual beside a stroke while it sounds.
func (c *Case) otherHandFree(s stroke) bool {
	free := true
	for _, n := range s.notes {
		overlapping(c.Score(), n.On, n.Off, func(m score.Note) { free = free && (m.On == n.On || c.Pedal(m.Part)) })
	}
	return free
}
