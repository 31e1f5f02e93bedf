package remedy

import (
	"fmt"
	"slices"

	"afterchord/sim/score"
)

// Slow lowers the tempo marks that govern the passage to the fastest tempo at which the
// finding is clear, found by halving; where none down to half speed clears it, to three quarters.
func Slow(c *Case) []Draft {
	if len(c.Notes()) == 0 {
		return nil
	}
	write := func(factor float64) (Draft, bool) {
		d := c.pen()
		from, to := c.span()
		fastest, governs := 0.0, [2]score.Tick{d.End, 0}
		if len(d.Tempos) == 0 {
			d.Tempos = []score.Tempo{{At: 0, Crotchets: 120}}
		}
		for i, j := 0, 0; i < len(d.Tempos); i = j {
			end := d.End + 1
			for j = i + 1; j < len(d.Tempos); j++ { // a rit. and the like go with their mark
				if !d.Tempos[j].Follows {
					end = d.Tempos[j].At
					break
				}
			}
			if d.Tempos[i].At < to && end > from {
				for k := i; k < j; k++ {
					d.Tempos[k].Crotchets *= factor
				}
				fastest = max(fastest, d.Tempos[i].Crotchets*c.tempo())
				governs = [2]score.Tick{min(governs[0], d.Tempos[i].At), max(governs[1], min(end, d.End)-1)}
			}
		}
		x, ok := d.finish(true, "The tempo comes down to %.0f crotchets a minute (it was %.0f) %s, as far as one mark governs %s.",
			fastest, fastest/factor, reach(d.Score, governs), c.bars())
		x.Price = 12 * (1 - factor)
		return x, ok
	}
	at := markAt(c.Score(), c.Onsets()[0])
	whole := func(factor float64) float64 { // a metronome has whole numbers
		n := float64(int(at * c.tempo() * factor))
		return n / (at * c.tempo())
	}
	clear := func(factor float64) bool {
		d, _ := write(factor)
		return c.judge(d.Score).clear()
	}
	const slowest = 0.5
	if !clear(whole(slowest)) {
		d, ok := write(whole(0.75))
		if !ok {
			return nil
		}
		return []Draft{d}
	}
	lo, hi := slowest, 1.0
	for range 5 {
		mid := (lo + hi) / 2
		if clear(whole(mid)) {
			lo = mid
		} else {
			hi = mid
		}
	}
	d, ok := write(whole(lo))
	if !ok {
		return nil
	}
	d.What = fmt.Sprintf("%s It is the fastest that clears it, to about %.0f %%.", d.What, 100*(hi-lo))
	return []Draft{d}
}

// reach says in words from where to where.
func reach(s *score.Score, governs [2]score.Tick) string {
	from, to := s.Position(governs[0]).Bar, s.Position(governs[1]).Bar
	switch {
	case governs[0] == 0 && governs[1] >= s.End-1:
		return "throughout"
	case from == 0:
		return fmt.Sprintf("from the upbeat to bar %d", to)
	}
	return fmt.Sprintf("from bar %d to bar %d", from, to)
}

// markAt is the speed of the mark that governs a place.
func markAt(s *score.Score, at score.Tick) float64 {
	for _, t := range slices.Backward(s.Tempos) {
		if t.At <= at && !t.Follows {
			return t.Crotchets
		}
	}
	return s.TempoAt(at)
}
