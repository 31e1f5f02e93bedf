package finding

import (
	"math"
	"slices"
	"sort"

	"afterchord/sim/performance"
	"afterchord/sim/score"
)

// gradual is a change of level that the page wants little by little.
type gradual struct {
	part     int
	division int
	from, to float64 // s
	louder   bool
	source   string  // "the hairpin", "controller 11", "the rising velocity"
	amount   float64 // controller or velocity steps; 0 for a hairpin
}

func (g gradual) word() string {
	if g.louder {
		return "crescendo"
	}
	return "diminuendo"
}

// graduals finds the gradual changes of level: hairpins and their words, ramps of
// controllers 7 and 11, velocities that rise or fall steadily over a bar and more. One
// division has one at a time; a hairpin goes before a ramp found in the numbers.
func (c *Context) graduals() []gradual {
	all := c.hairpins()
	all = append(all, c.controllerRamps()...)
	all = append(all, c.velocityRamps()...)
	var out []gradual
	for _, g := range all {
		clash := false
		for _, o := range out {
			clash = clash || o.division == g.division && g.from < o.to && o.from < g.to
		}
		if !clash && c.divisionPlays(g.division, g.from, g.to) {
			out = append(out, g)
		}
	}
	slices.SortStableFunc(out, func(a, b gradual) int {
		switch {
		case a.from < b.from:
			return -1
		case a.from > b.from:
			return 1
		}
		return a.division - b.division
	})
	return out
}

func (c *Context) divisionPlays(d int, from, to float64) bool {
	notes := c.Performance.Notes
	for i := sort.Search(len(notes), func(i int) bool { return notes[i].OnS >= from-c.longestS() }); i < len(notes); i++ {
		n := &notes[i]
		if n.OnS >= to {
			break
		}
		if n.Division == d && n.OffS > from {
			return true
		}
	}
	return false
}

func (c *Context) hairpins() []gradual {
	var out []gradual
	for i, w := range c.Score.Words {
		if w.Kind != score.Hairpin || w.Text == "stop" {
			continue
		}
		end := performance.HairpinEnd(c.Score, i)
		for _, a := range c.Performance.Assignments {
			if a.Division < 0 || w.Part >= 0 && a.Part != w.Part || c.Organ.Divisions[a.Division].Pedal && w.Part < 0 {
				continue
			}
			out = append(out, gradual{part: a.Part, division: a.Division, from: c.Score.Seconds(w.At), to: c.Score.Seconds(end),
				louder: w.Text != "diminuendo", source: "the hairpin"})
		}
	}
	return out
}

// controllerRamps finds controller 7 (volume) or 11 (expression) going one way in small steps.
func (c *Context) controllerRamps() []gradual {
	const (
		steps  = 4  // values in a row
		amount = 16 // of 127: one dynamic mark
		leastS = 0.5
	)
	names := map[int]string{7: "controller 7", 11: "controller 11"}
	var out []gradual
	for _, a := range c.Performance.Assignments {
		for _, number := range [2]int{7, 11} {
			for _, run := range c.ramps(a.Part, number) {
				if len(run) < steps {
					continue
				}
				first, last := run[0], run[len(run)-1]
				from, to := c.Score.Seconds(first.At), c.Score.Seconds(last.At)
				if d := last.Value - first.Value; (d >= amount || -d >= amount) && to-from >= leastS {
					out = append(out, gradual{a.Part, a.Division, from, to, d > 0, names[number], math.Abs(float64(d))})
				}
			}
		}
	}
	return out
}

// ramps are the values of a controller of a part cut where they turn or pause; a turning value belongs to both sides.
func (c *Context) ramps(part, number int) (runs [][]score.Control) {
	const gapS = 1.0 // a longer pause between two values ends the ramp
	var run []score.Control
	for _, x := range c.Score.Controls {
		if x.Part != part || x.Kind != score.Controller || x.Number != number {
			continue
		}
		if n := len(run); n > 0 {
			last := run[n-1]
			if x.Value == last.Value {
				continue
			}
			turn := n > 1 && (x.Value > last.Value) != (last.Value > run[n-2].Value)
			if turn || c.Score.Seconds(x.At)-c.Score.Seconds(last.At) > gapS {
				runs = append(runs, run)
				run = nil
				if turn {
					run = append(run, last)
				}
			}
		}
		run = append(run, x)
	}
	return append(runs, run)
}

// velocityRamps finds velocities on a straight slope for at least a bar.
func (c *Context) velocityRamps() []gradual {
	var out []gradual
	limits := performance.RampLimits{Jump: c.Thresholds.EffectVelocity, Rise: c.Thresholds.BoxVelocity, Fit: c.Thresholds.BoxFit}
	for _, a := range c.Performance.Assignments {
		for _, r := range performance.VelocityRamps(c.Score, a.Part, limits) {
			source := "the rising velocity"
			if !r.Louder {
				source = "the falling velocity"
			}
			out = append(out, gradual{a.Part, a.Division, c.Score.Seconds(r.From), c.Score.Seconds(r.To), r.Louder, source, r.Amount})
		}
	}
	return out
}
