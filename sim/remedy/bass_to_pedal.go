package remedy

import (
	"slices"

	"afterchord/acoustics/plural"
	"afterchord/sim/finding"
	"afterchord/sim/score"
)

// basses reports whether a finding is about basses that a hand lets go for their chords.
func (c *Case) basses() bool {
	return c.Finding.Kind == finding.KindThinFigure && c.Finding.Measured["basses"] > 0
}

// BassToPedal holds the basses that a hand lets go for their chords, each to the end of its chord: in the pedal's part where there is one that
// rests there, else where they stand, from where the feet take a low note held under full hands. Of octaves the lower stays; a 16 ft
// stop sounds the other (common practice).
func BassToPedal(c *Case) []Draft {
	if c.Finding.Kind == finding.KindHandReach {
		return c.reachToPedal()
	}
	if !c.basses() {
		return nil
	}
	d := c.pen()
	s, pedal, on := c.Score(), c.restingPedal(), c.Onsets()
	for i, at := range on {
		end := s.TickAt(c.Finding.UntilS * c.tempo())
		if i+1 < len(on) {
			end = on[i+1]
		}
		bass := c.bassAt(at)
		low := bass[0]
		held := low.Off
		overlapping(s, at, end, func(n score.Note) {
			if n.Part == low.Part && n.On > at {
				held = max(held, min(n.Off, end))
			}
			if n.Part == low.Part && n.Key == low.Key && n.On > at {
				end = min(end, n.On)
			}
		})
		held = min(held, end)
		if held <= low.Off || pedal >= 0 && !c.has(pedal, low.Key) {
			continue
		}
		for _, n := range bass[1:] {
			d.remove(n.ID)
		}
		x := d.note(low.ID)
		x.Off, x.Written = held, held-low.On
		if pedal >= 0 {
			x.Part, x.Voice = pedal, 0
		}
		d.touched[low.ID] = true
	}
	return single(d.finish(false, "In %s the pedal takes %s, each held to the end of its chord. It costs the basses their lightness, and the feet their rest.", c.bars(), plural.Count(len(on), "bass", "basses")))
}

// reachToPedal gives the bass of what a hand cannot hold to a pedal part that rests there, at its own pitch: a tenth, or a chord of too
// many keys (common practice). A bass over which the feet play already is none.
func (c *Case) reachToPedal() []Draft {
	d := c.pen()
	for _, at := range c.Onsets() {
		var bass *score.Note
		overlapping(c.Score(), at, at+1, func(n score.Note) {
			if bass == nil || n.Key < bass.Key {
				bass = &n
			}
		})
		if bass == nil || c.Pedal(bass.Part) || d.touched[bass.ID] {
			continue
		}
		c.toPedal(d, *bass, bass.Key)
	}
	return single(d.finish(false, "In %s, the pedal takes %s that the hand cannot reach. It costs the feet their rest.", c.bars(), plural.Count(len(d.touched), "bass", "basses")))
}

// toPedal gives a note to a pedal part that rests while it sounds, on a key of its own; ok is false where there is none that has the key.
func (c *Case) toPedal(d *draft, n score.Note, key int) (ok bool) {
	for _, p := range c.pedalParts() {
		if !c.sounds(p, n.On, n.Off) && c.has(p, key) {
			x := d.note(n.ID)
			x.Part, x.Voice, x.Key = p, 0, key
			d.touched[n.ID] = true
			return true
		}
	}
	return false
}

// bassAt are the notes of the bass that begins at a place, the lowest first: of one part.
func (c *Case) bassAt(at score.Tick) []score.Note {
	var out []score.Note
	for _, n := range c.Notes() {
		if n.On == at {
			out = append(out, n)
		}
	}
	slices.SortFunc(out, func(a, b score.Note) int { return a.Key - b.Key })
	part := out[0].Part
	return slices.DeleteFunc(out, func(n score.Note) bool { return n.Part != part })
}

// has reports whether the division of a part has a key.
func (c *Case) has(part, key int) bool {
	d := &c.Input.Organ.Divisions[c.Division(part)]
	return key >= d.LowKey && key <= d.HighKey
}

// restingPedal is a part of the pedal that has no notes where the finding is, -1 where there is none.
func (c *Case) restingPedal() int {
	from, to := c.span()
	for _, p := range c.pedalParts() {
		if !c.sounds(p, from, to) {
			return p
		}
	}
	return -1
}
