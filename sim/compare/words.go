package compare

import (
	"fmt"
	"math"
	"slices"

	"afterchord/acoustics/plural"
	"afterchord/sim/finding"
)

// Summary says in a sentence which side is the better one and by what.
func (d Difference) Summary() string {
	a, b := d.A.Tally, d.B.Tally
	return fmt.Sprintf("A has %s and %s, B has %s and %s; %s in both, %d only in A, %d only in B.",
		finding.Fail.Counted(a.Fails), finding.Warning.Counted(a.Warnings), finding.Fail.Counted(b.Fails), finding.Warning.Counted(b.Warnings),
		plural.Count(len(d.Common), "finding"), len(d.OnlyA), len(d.OnlyB))
}

// Least differences of a bar that are worth a line: two thresholds of 5 per cent of heard share
// (as for D50 and EDT, ISO 3382-1 Annex A, from memory).
const leastShare = 0.1

// gap is how much the two sides differ in a bar.
func (b Bar) gap() float64 {
	g := math.Abs(b.HeardShare[0] - b.HeardShare[1])
	if math.IsNaN(g) {
		return 1
	}
	return g + math.Abs(float64(b.Fails[0]-b.Fails[1])) + 0.3*math.Abs(float64(b.Warnings[0]-b.Warnings[1]))
}

// Differing lists up to n bars that differ most, in the order of the score.
func (d Difference) Differing(n int) []Bar {
	out := slices.DeleteFunc(slices.Clone(d.Bars), func(b Bar) bool { return b.gap() < leastShare })
	slices.SortStableFunc(out, func(a, b Bar) int {
		switch {
		case a.gap() > b.gap():
			return -1
		case a.gap() < b.gap():
			return 1
		}
		return 0
	})
	out = out[:min(n, len(out))]
	slices.SortFunc(out, func(a, b Bar) int { return a.Number - b.Number })
	return out
}

// Which is the side that a bar is better in, "A", "B" or "neither".
func (b Bar) Which() string {
	cost := func(i int) float64 {
		return float64(b.Fails[i]) + 0.3*float64(b.Warnings[i]) + 1 - b.HeardShare[i]
	}
	switch d := cost(0) - cost(1); {
	case math.IsNaN(d):
		return "only one has it"
	case d > 0.02:
		return "B"
	case d < -0.02:
		return "A"
	}
	return "neither"
}

// Words describes the bar on both sides.
func (b Bar) Words() [2]string {
	var out [2]string
	for i := range out {
		if math.IsNaN(b.HeardShare[i]) {
			out[i] = "no such bar"
			continue
		}
		out[i] = fmt.Sprintf("%.0f %% heard", 100*b.HeardShare[i])
		if b.Fails[i] > 0 {
			out[i] += ", " + finding.Fail.Counted(b.Fails[i])
		}
		if b.Warnings[i] > 0 {
			out[i] += ", " + finding.Warning.Counted(b.Warnings[i])
		}
	}
	return out
}
