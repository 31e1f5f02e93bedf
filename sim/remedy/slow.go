package remedy

import (
	"fmt"
	"slices"

	"afterchord/sim/score"
)

// slowest is the least share of the written tempo that Slow writes: below two thirds it is another piece.
const slowest = 2. / 3

// Slow takes the bars of the passage to the fastest tempo at which the finding is clear, found by halving, and the music
// after them back to what is written; where nothing down to two thirds of the written tempo clears it, to three quarters. The bars
// around keep their tempo.
func Slow(c *Case) []Draft {
	if len(c.Notes()) == 0 {
		return nil
	}
	write := func(factor float64) (Draft, bool) {
		d := c.pen()
		from, to := c.span()
		if len(d.Tempos) == 0 {
			d.Tempos = []score.Tempo{{At: 0, Crotchets: 120}}
		}
		was, back := d.TempoAt(from), d.TempoAt(min(to, max(from, d.End-1)))
		fastest := was * factor * c.tempo()
		begins, returns := false, to >= d.End
		for i := range d.Tempos {
			t := &d.Tempos[i]
			begins = begins || t.At == from
			returns = returns || t.At == to
			if t.At >= from && t.At < to {
				t.Crotchets *= factor
				fastest = max(fastest, t.Crotchets*c.tempo())
			}
		}
		if !begins {
			d.Tempos = append(d.Tempos, score.Tempo{At: from, Crotchets: was * factor})
		}
		where := "throughout"
		if from > 0 || to < d.End {
			where = "in " + c.bars()
		}
		if !returns {
			d.Tempos = append(d.Tempos, score.Tempo{At: to, Crotchets: back})
			where += fmt.Sprintf(", and goes back to %.0f after it", back*c.tempo())
		}
		slices.SortStableFunc(d.Tempos, func(a, b score.Tempo) int { return int(a.At - b.At) })
		x, ok := d.finish(true, "The tempo comes down to %.0f crotchets a minute (it was %.0f) %s. It costs the passage its pace.",
			fastest, fastest/factor, where)
		x.Price = 12 * (1 - factor)
		return x, ok
	}
	at := markAt(c.Score(), c.Onsets()[0])
	whole := func(factor float64) float64 { // a metronome has whole numbers
		n := float64(int(at * c.tempo() * factor))
		return n / (at * c.tempo())
	}
	var clears Draft // the last that was found to
	clear := func(factor float64) bool {
		d, _ := write(factor)
		if !c.judge(d.Score).clear() {
			return false
		}
		clears = d
		return true
	}
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
	clears.What += fmt.Sprintf(" It is the fastest that clears it, to about %.0f %%.", 100*(hi-lo))
	return []Draft{clears}
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
