package performance

import (
	"afterchord/sim/score"
	"afterchord/voicing"
)

// VelocityRamp is a stretch of a part whose velocities rise or fall steadily, as a hairpin is exported.
type VelocityRamp struct {
	From, To score.Tick
	Louder   bool
	Amount   float64 // velocity steps
}

// RampLimits say what is a ramp: steps from onset to onset below Jump, Amount of Rise at least, and on a straight line that
// explains the share Fit of the variance.
type RampLimits struct{ Jump, Rise, Fit float64 }

// usualRamp are the limits by which boxes are moved; findings have theirs in the table of limits, with the same defaults.
var usualRamp = RampLimits{Jump: velocityStep, Rise: 20, Fit: 0.8}

// rampOnsets is how many onsets a ramp has at the least, and rampBars how many bars.
const (
	rampOnsets = 6
	rampBars   = 0.75
)

// VelocityRamps finds the ramps of a part, in order.
func VelocityRamps(s *score.Score, part int, limits RampLimits) []VelocityRamp {
	xs := onsetVelocities(s, part)
	var out []VelocityRamp
	for i := 0; i+rampOnsets <= len(xs); i++ {
		up := xs[i+1].vel > xs[i].vel
		if xs[i+1].vel == xs[i].vel {
			continue
		}
		j := i + 1
		for j+1 < len(xs) && (xs[j+1].vel == xs[j].vel || (xs[j+1].vel > xs[j].vel) == up) && abs(xs[j+1].vel-xs[j].vel) < limits.Jump {
			j++
		}
		for j > i && xs[j].vel == xs[j-1].vel { // where it has arrived
			j--
		}
		run := xs[i : j+1]
		first, last := run[0], run[len(run)-1]
		rise := abs(last.vel - first.vel)
		if len(run) >= rampOnsets && rise >= limits.Rise && float64(last.at-first.at) >= rampBars*float64(barTicks(s, first.at)) && straightness(run) >= limits.Fit {
			out = append(out, VelocityRamp{first.at, last.at, up, rise})
		}
		i = max(i, j-1)
	}
	return out
}

func barTicks(s *score.Score, t score.Tick) score.Tick {
	if len(s.Bars) == 0 {
		return 4 * s.TicksPerCrotchet
	}
	return s.BarTicks(s.Bars[s.BarAt(t)].Metre)
}

// straightness is the share of the variance that a straight line explains, R².
func straightness(xs []chord) float64 {
	n := float64(len(xs))
	var sx, sy, sxx, sxy, syy float64
	for _, x := range xs {
		sx += float64(x.at)
		sy += x.vel
	}
	mx, my := sx/n, sy/n
	for _, x := range xs {
		dx, dy := float64(x.at)-mx, x.vel-my
		sxx, sxy, syy = sxx+dx*dx, sxy+dx*dy, syy+dy*dy
	}
	if sxx == 0 || syy == 0 {
		return 0
	}
	return sxy * sxy / (sxx * syy)
}

// rampsByBox marks the passages of a part that a ramp leads to: on a keyboard in a box the foot makes the change, as far as a box goes.
func rampsByBox(s *score.Score, part int, passages []Passage) {
	for _, r := range VelocityRamps(s, part, usualRamp) {
		if !boxMakes(r) {
			continue
		}
		for i := range passages {
			if p := &passages[i]; p.From > r.From && p.From <= r.To {
				p.ByBox = true
			}
		}
	}
}

// boxMakes reports whether a box makes all of a ramp.
func boxMakes(r VelocityRamp) bool { return r.Amount <= boxMarks*velocityMark }

// rampsOfBoxes are the moves of the boxes that ramps ask for, of parts whose dynamics are their velocities.
func rampsOfBoxes(s *score.Score, o *voicing.Organ, h hands, passages []Passage) []swell {
	var out []swell
	done := map[int]bool{}
	for _, p := range passages {
		if done[p.Part] || p.Assumed || p.MeanVel == 0 {
			continue
		}
		done[p.Part] = true
		for _, r := range VelocityRamps(s, p.Part, usualRamp) {
			if d := h.at(p.Part, r.From); o.Divisions[d].Enclosed {
				from, to := travel(r.Louder)
				out = append(out, swell{s.Seconds(r.From), s.Seconds(r.To), d, from, to})
			}
		}
	}
	return out
}
