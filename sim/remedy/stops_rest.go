package remedy

import (
	"afterchord/sim/score"
)

// StopsRest writes a rest before a change of stops, long enough for the hands that move them, by letting what sounds go early: never
// longer than a bar, and only where nothing begins in it, as no stop is worth a bar of the music (common practice). A note keeps a
// quarter of its length at least.
func StopsRest(c *Case) []Draft {
	at, ok := c.changeAt()
	if !ok {
		return nil
	}
	s := c.Score()
	bar := s.Bars[s.BarAt(max(0, at-1))]
	var out []Draft
	for _, rest := range rests(s) {
		secs := c.lasts(rest, at-1)
		if rest > bar.Length || secs < 0.2 {
			continue
		}
		d := c.pen()
		room := true
		overlapping(s, at-rest, at, func(n score.Note) {
			if 4*(at-rest-n.On) < n.Off-n.On {
				room = false
				return
			}
			d.shorten(n.ID, at-rest)
		})
		if !room {
			break
		}
		if x, ok := d.finish(false, "All parts rest for %.1f s before %s while the stops are changed (%s in that time). It costs the last %s of the passage before.", secs, s.Position(at), c.inTheRest(at), restName(s, rest)); ok {
			x.Price = 0.4 * float64(rest) / float64(s.TicksPerCrotchet)
			out = append(out, x)
		}
	}
	return out
}

// inTheRest says what is done in a rest for a change of stops: one press where the organ has pistons, else the knobs.
func (c *Case) inTheRest(at score.Tick) string {
	if c.Input.Organ.Pistons > 0 {
		return c.movesLeft(c.Score(), at, true)
	}
	return c.knobs(at)
}

func restName(s *score.Score, t score.Tick) string {
	if n := valueName(s, t); n != "" {
		return n
	}
	return "beats"
}

// Assistant asks for somebody at the console who draws the stops: nothing of the music changes.
func Assistant(c *Case) []Draft {
	at, ok := c.changeAt()
	if !ok {
		return nil
	}
	d := c.pen()
	d.word(score.Word{At: at, Part: -1, Kind: score.Text, Text: "(assistant)"})
	return single(d.finish(true, "An assistant draws the stops at %s (%s for the player). It costs a second person at the console, and the page must say so.", c.Score().Position(at), c.toMove(at)))
}
