package report

import (
	"fmt"
	"strings"

	"afterchord/render/internal/words"
	"afterchord/sim/compare"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// mostDiffering is how many bars a page of two sides lists.
const mostDiffering = 24

// NewCompared is the page of two proofs side by side, with the bars that differ most.
func NewCompared(a, b *proof.Document, d compare.Difference) Mended {
	m := Mended{Over: "Side by side", Names: sideNames(d.A, d.B), Before: a, After: b, Why: d.Summary()}
	for _, x := range d.Differing(mostDiffering) {
		m.Changes = append(m.Changes, MendedChange{Where: words.BarBeat(x.Number, 0), Remedy: x.Which(), What: x.Words()[0], Verdict: x.Words()[1]})
	}
	m.ChangesTitle, m.ChangesHead = "Bars that differ most", [4]string{"where", "better in", m.Names[0], m.Names[1]}
	return m
}

// NewRewritten is the page of a piece before and after one rewriting against a finding of before; what says what was changed.
func NewRewritten(before, after *proof.Document, f finding.Finding, what string) Mended {
	return Mended{Before: before, After: after, Why: what,
		Changes: []MendedChange{{Where: words.Place(f), Remedy: f.Kind, What: what, Verdict: outcome(f, same(after.Findings, f)), Finding: f.ID}}}
}

// sideNames names the sides by what they differ in.
func sideNames(a, b compare.Side) [2]string {
	of := func(s compare.Side) []string {
		return []string{s.Score, s.Room, s.Organ, fmt.Sprintf("%.0f crotchets a minute", s.Crotchets), "seat " + s.Seat}
	}
	x, y := of(a), of(b)
	var out [2][]string
	for i := range x {
		if x[i] != y[i] {
			out[0], out[1] = append(out[0], x[i]), append(out[1], y[i])
		}
	}
	if len(out[0]) == 0 {
		return [2]string{"A", "B"}
	}
	return [2]string{"A: " + strings.Join(out[0], ", "), "B: " + strings.Join(out[1], ", ")}
}
