package voicing

import "fmt"

// Steps between dynamic marks that make a usable plan, dB (common practice).
const (
	smallestStepDB = 4
	largestStepDB  = 8
)

// PlanStep is one mark of a division's plan.
type PlanStep struct {
	Division int
	Mark     string
	PowerDB  float64 // sound power of the full chord (see [FullChord]) with the boxes open, dB re 1 pW
	First    bool    // the division's first mark
	StepDB   float64 // over the mark before; 0 for the first
}

// PlanSteps is how strong each division is at each mark that its description gives, with the divisions that it couples
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
			b := o.Power(o.Draw(by), d, o.FullChordKeys(d))
			sum := 0.0
			for _, x := range b {
				sum += x
			}
			if sum == 0 {
				continue
			}
			s := PlanStep{Division: d, Mark: mark, PowerDB: PowerDB(b), First: first}
			if !first {
				s.StepDB = s.PowerDB - out[len(out)-1].PowerDB
			}
			first = false
			out = append(out, s)
		}
	}
	return out
}

// PlanRemarks says, a line each, where a dynamic plan is not an even crescendo: a mark that is not louder than the one before, or
// a step below 4 dB or above 8 dB. They are warnings, not errors; an organ of few stops may allow nothing better.
func PlanRemarks(o *Organ) []string {
	var out []string
	for _, s := range PlanSteps(o) {
		if len(o.Divisions[s.Division].Stops) == 0 {
			continue // a pull-down pedal has nothing of its own to draw
		}
		name := o.Divisions[s.Division].Name
		switch {
		case s.First:
		case s.StepDB < 0.5:
			out = append(out, fmt.Sprintf("%s: %s is not louder than the mark before it (%+.1f dB); draw more", name, s.Mark, s.StepDB))
		case s.StepDB < smallestStepDB:
			out = append(out, fmt.Sprintf("%s: %s is only %.1f dB over the mark before it", name, s.Mark, s.StepDB))
		case s.StepDB > largestStepDB:
			out = append(out, fmt.Sprintf("%s: %s jumps by %.1f dB over the mark before it", name, s.Mark, s.StepDB))
		}
	}
	return out
}
