package sweep

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Bounds on a range of tempi.
const (
	mostTempi  = 60
	slowest    = 0.05
	fastestOf  = 10.0
	stepFactor = 0.1
)

// ParseTempi reads factors of the written tempo: "0.7..1.2" (steps of 0.1), "0.7..1.2/0.05" or
// "0.8,0.9,1". Numbers above 10 are crotchets a minute at the start, where the score has written of them. The
// result is ascending, each once.
func ParseTempi(text string, written float64) ([]float64, error) {
	var out []float64
	for _, part := range strings.Split(text, ",") {
		part = strings.TrimSpace(part)
		from, to, isRange := strings.Cut(part, "..")
		if !isRange {
			f, err := factor(part, written)
			if err != nil {
				return nil, err
			}
			out = append(out, f)
			continue
		}
		to, by, hasStep := strings.Cut(to, "/")
		a, err := factor(from, written)
		if err != nil {
			return nil, err
		}
		b, err := factor(to, written)
		if err != nil {
			return nil, err
		}
		step := stepFactor
		if hasStep {
			if step, err = strconv.ParseFloat(strings.TrimSpace(by), 64); err != nil || !(step > 0) {
				return nil, fmt.Errorf("tempi %q: the step %q is not a positive number", text, by)
			}
			if step > 1 {
				step /= written
			}
		}
		if b < a || (b-a)/step > mostTempi {
			return nil, fmt.Errorf("tempi %q: give a range that rises, with at most %d steps", text, mostTempi)
		}
		for i := 0; a+float64(i)*step <= b+step*1e-6; i++ {
			out = append(out, math.Round((a+float64(i)*step)*1e6)/1e6)
		}
	}
	slices.Sort(out)
	out = slices.Compact(out)
	if len(out) > mostTempi {
		return nil, fmt.Errorf("tempi %q: %d are more than %d", text, len(out), mostTempi)
	}
	return out, nil
}

func factor(s string, written float64) (float64, error) {
	v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
	if err != nil || math.IsNaN(v) || v <= 0 || v > 2000 {
		return 0, fmt.Errorf("tempo %q: give a factor such as 0.8, or crotchets a minute such as 72", s)
	}
	if v > fastestOf {
		v /= written
	}
	if v < slowest || v > fastestOf {
		return 0, fmt.Errorf("tempo %q: the factor must lie between %g and %g", s, slowest, fastestOf)
	}
	return v, nil
}
