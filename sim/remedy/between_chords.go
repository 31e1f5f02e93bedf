package remedy

import (
	"slices"

	"afterchord/sim/score"
)

// BetweenChords moves a change of stops that falls under held keys to where nothing is held: to the next place at which all
// begin anew, or back to where the held chord began.
func BetweenChords(c *Case) []Draft {
	at, ok := c.changeAt()
	if !ok {
		return nil
	}
	var out []Draft
	for _, later := range [2]bool{true, false} {
		to, ok := c.breath(at, later)
		if !ok {
			continue
		}
		d := c.pen()
		moved := 0
		for i := range d.Words {
			w := &d.Words[i]
			if w.At == at && (w.Kind == score.Mark || w.Kind == score.Text || w.Kind == score.Direction) {
				w.At = to
				moved++
			}
		}
		if moved == 0 {
			continue
		}
		// of two marks of a part at one place the one that was later holds
		d.Words = slices.DeleteFunc(d.Words, func(w score.Word) bool {
			return !later && w.Kind == score.Mark && w.At == to && c.hadMark(w, to)
		})
		slices.SortStableFunc(d.Words, func(a, b score.Word) int { return int(a.At - b.At) })
		if x, ok := d.finish(true, "The stops change at %s, between two chords, not at %s under a held one. It costs the swell its place.",
			c.Score().Position(to), c.Score().Position(at)); ok {
			out = append(out, x)
		}
	}
	return out
}

// hadMark reports whether the page had a mark at a place already for the part of a word.
func (c *Case) hadMark(w score.Word, at score.Tick) bool {
	for _, x := range c.Score().Words {
		if x.Kind == score.Mark && x.At == at && x.Part == w.Part && x.Text == w.Text {
			return true
		}
	}
	return false
}

// breath is the nearest place after or before at where keys begin and none is held over.
func (c *Case) breath(at score.Tick, later bool) (score.Tick, bool) {
	var best score.Tick
	found := false
	var on, until, before score.Tick // a chord, the last end of its notes and of all before it
	for _, n := range c.Score().Notes {
		if n.On > on {
			on, before = n.On, max(before, until)
			until = 0
		}
		until = max(until, n.Off)
		if before > on || later && (on <= at || found) || !later && on >= at {
			continue
		}
		best, found = on, true
	}
	return best, found
}
