package remedy

import (
	"fmt"

	"afterchord/acoustics/plural"

	"afterchord/sim/score"
)

// pedalCentre is about where a held bass lies well under the feet: C3 and below (common practice).
const pedalCentre = 48

// HeldBass lets the pedal hold the bass of the broken chords and leaves the figure to the hand (common practice): what the feet play
// there already is held on, and where they rest the lowest key of the figure comes in.
func HeldBass(c *Case) []Draft {
	parts := c.pedalParts()
	if len(parts) == 0 || c.basses() {
		return nil
	}
	part := parts[0]
	div := &c.Input.Organ.Divisions[c.Division(part)]
	d := c.pen()
	held, added := 0, 0
	for _, run := range c.inBars(c.harmonies(c.Notes())) {
		from, to := run[0].On, run[len(run)-1].Off
		bass := run[0].Key
		for _, n := range run {
			bass = min(bass, n.Key)
		}
		own := c.feet(part, from, to)
		for i, n := range own { // held to the next note, or to the end of the harmony
			off := to
			if i+1 < len(own) {
				off = own[i+1].On
			}
			if off > n.Off && n.On >= from {
				x := d.note(n.ID)
				x.Off = n.On + plainWithin(d.Score, off-n.On)
				if x.Off > n.Off {
					x.Written = max(x.Written, x.Off-n.On)
					d.touched[n.ID] = true
					held++
				} else {
					x.Off = n.Off
				}
			}
		}
		if len(own) > 0 {
			continue
		}
		for bass > pedalCentre {
			bass -= 12
		}
		if bass < div.LowKey {
			bass += 12
		}
		for at := from; at < to; {
			n := run[0]
			n.Part, n.Voice, n.Key, n.On, n.Written = part, 0, bass, at, 0
			n.Off = at + plainWithin(d.Score, to-at)
			d.add(n)
			added++
			at = n.Off
		}
	}
	what := ""
	switch {
	case held > 0 && added > 0:
		what = fmt.Sprintf("%s held on and %s added", plural.Count(held, "note is", "notes are"), plural.Count(added, "note is", "notes are"))
	case held > 0:
		what = plural.Count(held, "note is", "notes are") + " held on"
	default:
		what = plural.Count(added, "note is", "notes are") + " added"
	}
	return single(d.finish(false, "In %s the pedal holds the bass and the hand plays the figure: in the pedal %s. It costs the feet their rest.", c.bars(), what))
}

// feet are the notes of a pedal part that sound in a stretch.
func (c *Case) feet(part int, from, to score.Tick) []score.Note {
	var out []score.Note
	overlapping(c.Score(), from, to, func(n score.Note) {
		if n.Part == part {
			out = append(out, n)
		}
	})
	return out
}
