package voicing

import (
	"fmt"
	"math/bits"
	"slices"
	"strings"
)

// Steps of loudness between dynamic marks that players expect, phon: a third louder at least, twice as loud at most (common practice; by
// the sone scale 10 phon are a factor of two).
const (
	SmallestStep = 4.0
	LargestStep  = 10.0
)

// PlanStep is one mark of a division's plan.
type PlanStep struct {
	Division int
	Mark     string
	Phon     float64 // loudness level of the full chord (see [FullChord] and [Sound]) with the boxes open
	First    bool    // the division's first mark
	Step     float64 // over the mark before, phon; 0 for the first
}

// PlanSteps is how loud each division is at each mark that its description gives, with the divisions that it couples
// drawn at the same mark (see [Organ.Draw]).
func PlanSteps(o *Organ) []PlanStep {
	var out []PlanStep
	for d := range o.Divisions {
		first := true
		for i, mark := range marks {
			if !o.plan[i].given[d] {
				continue
			}
			var by [MaxDivisions]string
			by[d] = mark
			s := PlanStep{Division: d, Mark: mark, Phon: o.Sound(o.Draw(by), d, o.FullChordKeys(d)).Phon(), First: first}
			if s.Phon == 0 {
				continue
			}
			if !first {
				s.Step = s.Phon - out[len(out)-1].Phon
			}
			first = false
			out = append(out, s)
		}
	}
	return out
}

// stepDrawn is what is drawn at the mark before s and at s.
func (o *Organ) stepDrawn(s PlanStep) (was, is Registration) {
	before := ""
	for i, mark := range marks {
		if mark == s.Mark {
			break
		}
		if o.plan[i].given[s.Division] {
			before = mark
		}
	}
	drawn := func(mark string) Registration {
		var by [MaxDivisions]string
		by[s.Division] = mark
		return o.Draw(by)
	}
	return drawn(before), drawn(s.Mark)
}

// oneStopMore is the stop that a mark draws beyond the one before, where it is the only one and no coupler comes with it; "" where there is more.
func (o *Organ) oneStopMore(s PlanStep) string {
	was, is := o.stepDrawn(s)
	more := is.Stops[s.Division] &^ was.Stops[s.Division]
	is.Stops[s.Division], was.Stops[s.Division] = 0, 0
	if bits.OnesCount64(uint64(more)) != 1 || is != was {
		return ""
	}
	return o.Divisions[s.Division].Stops[bits.TrailingZeros64(uint64(more))].Name
}

// coupledChange says which divisions that are coupled to the division change at the step, and which couplers come on; "" where none does.
func (o *Organ) coupledChange(s PlanStep) string {
	was, is := o.stepDrawn(s)
	var parts []string
	for c, coupler := range o.Couplers {
		if coupler.To != s.Division && is.Couplers&^was.Couplers>>c&1 == 1 {
			parts = append(parts, coupler.Name+" comes on")
		}
	}
	for d := range o.Divisions {
		held := slices.ContainsFunc(o.Couplers, func(c Coupler) bool { return c.From == s.Division && c.To == d })
		if d != s.Division && held && was.Stops[d] != 0 && was.Stops[d] != is.Stops[d] {
			parts = append(parts, fmt.Sprintf("%s, coupled to it, changes too", o.Divisions[d].Name))
		}
	}
	return strings.Join(parts, ", ")
}

// PlanRemarks says, a line each, where a dynamic plan is not an even crescendo: a mark that is not louder than the one before, or
// a step below [SmallestStep] or above [LargestStep]. They are warnings, not errors; an organ of few stops may allow nothing better.
func PlanRemarks(o *Organ) []string {
	var out []string
	for _, s := range PlanSteps(o) {
		if len(o.Divisions[s.Division].Stops) == 0 {
			continue // a pull-down pedal has nothing of its own to draw
		}
		name := o.Divisions[s.Division].Name
		switch {
		case s.First:
		case s.Step < 0.5:
			out = append(out, fmt.Sprintf("%s: %s is not louder than the mark before it (%+.1f phon); draw more", name, s.Mark, s.Step))
		case s.Step < SmallestStep:
			out = append(out, fmt.Sprintf("%s: %s is only %.1f phon over the mark before it", name, s.Mark, s.Step))
		case s.Step > LargestStep:
			remark := fmt.Sprintf("%s: %s jumps by %.1f phon over the mark before it", name, s.Mark, s.Step)
			if stop := o.oneStopMore(s); stop != "" {
				remark += fmt.Sprintf("; %s alone makes the step, so that no plan can part it", stop)
			} else if change := o.coupledChange(s); change != "" {
				remark += "; " + change
			}
			out = append(out, remark)
		}
	}
	return out
}
