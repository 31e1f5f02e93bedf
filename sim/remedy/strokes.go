package remedy

import (
	"slices"

	"afterchord/sim/score"
)

// stroke is what one part begins at one tick, from the lowest key up.
type stroke struct {
	at    score.Tick
	notes []score.Note
}

// strokes lists the onsets of a part in [from, to].
func strokes(s *score.Score, part int, from, to score.Tick) []stroke {
	var out []stroke
	for _, n := range s.Notes {
		if n.On > to {
			break
		}
		if n.Part != part || n.On < from {
			continue
		}
		if k := len(out) - 1; k >= 0 && out[k].at == n.On {
			out[k].notes = append(out[k].notes, n)
			continue
		}
		out = append(out, stroke{n.On, []score.Note{n}})
	}
	for i := range out {
		slices.SortStableFunc(out[i].notes, func(a, b score.Note) int { return a.Key - b.Key })
	}
	return out
}

// figure is the finding's own strokes and the one before them, per part that it names.
func (c *Case) figure() [][]stroke {
	s := c.Score()
	var parts []int
	first, last := map[int]score.Tick{}, map[int]score.Tick{}
	for _, n := range c.Notes() {
		if _, ok := first[n.Part]; !ok {
			parts = append(parts, n.Part)
			first[n.Part] = n.On
		}
		last[n.Part] = max(last[n.Part], n.On)
	}
	var out [][]stroke
	for _, p := range parts {
		from := first[p]
		for _, n := range s.Notes {
			if n.On >= first[p] {
				break
			}
			if n.Part == p {
				from = n.On
			}
		}
		if first[p]-from > 2*s.TicksPerCrotchet {
			from = first[p]
		}
		out = append(out, strokes(s, p, from, last[p]))
	}
	return out
}

// repeats reports whether two strokes are on the same keys.
func repeats(a, b stroke) bool {
	return slices.EqualFunc(a.notes, b.notes, func(x, y score.Note) bool { return x.Key == y.Key })
}
