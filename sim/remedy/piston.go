package remedy

import (
	"fmt"
	"math/bits"

	"afterchord/acoustics/plural"
	"afterchord/sim/performance"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// pressS is how long a hand needs for a piston, s; see piston_s among the limits of the findings.
const pressS = 0.2

// Piston frees one hand for a general piston, where the organ has some: it lets its last chord go early, by the shortest rest that is
// long enough, and all the stops move at one press.
func Piston(c *Case) []Draft {
	at, ok := c.changeAt()
	if !ok || c.Input.Organ.Pistons == 0 {
		return nil
	}
	s := c.Score()
	var out []Draft
	for part := len(s.Parts) - 1; part >= 0; part-- {
		if c.Pedal(part) {
			continue
		}
		for _, rest := range rests(s) {
			if c.lasts(rest, at-1) < pressS {
				continue
			}
			d := c.pen()
			for _, n := range s.Notes {
				if n.Part == part && n.On < at && n.Off > at-rest {
					d.shorten(n.ID, at-rest)
				}
			}
			x, ok := d.finish(false, "%s lets its last chord before %s go %s early, and that hand presses a general piston for the change (%s). It costs the end of that chord.",
				s.Parts[part].Name, s.Position(at), aValue(s, rest), c.movesLeft(d.Score, at, true))
			if ok {
				x.Price = 0.1 * float64(rest) / float64(s.TicksPerCrotchet)
				out = append(out, x)
			}
			break
		}
	}
	return out
}

// moves is how many knobs differ between two registrations.
func moves(a, b voicing.Registration) int {
	n := bits.OnesCount64(uint64(a.Couplers^b.Couplers)) + bits.OnesCount64(uint64(a.Tremulants^b.Tremulants))
	for d := range a.Stops {
		n += bits.OnesCount64(a.Stops[d] ^ b.Stops[d])
	}
	return n
}

// toMove says how many knobs move at a place, and that none are left: "20 knobs to move, then none".
func (c *Case) toMove(at score.Tick) string {
	return c.knobs(at) + ", then none"
}

// knobs says how many knobs move at a place: "20 knobs to move".
func (c *Case) knobs(at score.Tick) string {
	t := c.Score().Seconds(at)
	return plural.Count(moves(c.Performance.RegistrationAt(t-1e-6), c.Performance.RegistrationAt(t+1e-6)), "knob") + " to move"
}

// movesLeft says how many knobs move at a place before and after a rewriting: "20 knobs to move, then 4".
func (c *Case) movesLeft(after *score.Score, at score.Tick, onePress bool) string {
	count := func(p *performance.Performance, s *score.Score) int {
		t := s.Seconds(at)
		return moves(p.RegistrationAt(t-1e-6), p.RegistrationAt(t+1e-6))
	}
	before := plural.Count(count(c.Performance, c.Score()), "knob") + " to move"
	if onePress {
		return before + ", then one press"
	}
	p, err := performance.Build(after, c.Input.Organ, c.Input.Player)
	if err != nil {
		return before
	}
	if n := count(p, after); n > 0 {
		return fmt.Sprintf("%s, then %d: the pedal's and couplers", before, n)
	}
	return before + ", then none"
}
