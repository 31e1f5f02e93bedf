package remedy

import (
	"context"
	"slices"

	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// newFail reports whether something fails after that did not fail in its place before.
func newFail(before, after []finding.Finding) bool {
	for _, f := range after {
		if f.Severity == finding.Fail && !slices.ContainsFunc(same(before, f), func(g finding.Finding) bool { return g.Severity == finding.Fail }) {
			return true
		}
	}
	return false
}

// leastSwap is what a change must better the piece by, beyond the one that it replaces.
const leastSwap = 0.2

// swap tries for each change the others that help its finding in its place, and keeps the one that leaves
// the piece with the least cost, its price counted. The change that clears most for its price, which is what
// was made first, need not be the one that clears most.
func (p *Plan) swap(ctx context.Context, in proof.Input, queue []Change) {
	for i := range p.Changes {
		for _, c := range queue {
			was := p.Changes[i]
			if c.round != was.round || c.Remedy == was.Remedy || !sameFinding(c.finding, was.finding) {
				continue
			}
			if ctx.Err() != nil {
				return
			}
			others := slices.Delete(slices.Clone(p.Changes), i, i+1)
			if (&Plan{Changes: others}).clash(c) {
				continue
			}
			changes := slices.Insert(others, i, c)
			next := in
			next.Score, next.Beside = apply(in.Score, (&Plan{Changes: changes}).patches()), p.New
			q, err := proof.Judge(ctx, next)
			if err != nil { // it cannot be played with the rest
				continue
			}
			gain := NewTally(p.New.Document.Findings).Cost - NewTally(q.Document.Findings).Cost - leastWorth*(c.price-was.price)
			if gain < leastSwap || newFail(p.New.Document.Findings, q.Document.Findings) {
				continue
			}
			c.Reason = passageReason(c)
			changes[i] = c
			p.Changes, p.New, p.Score = changes, q, next.Score
		}
	}
}

func sameFinding(a, b finding.Finding) bool {
	return a.Kind == b.Kind && a.Where == b.Where && a.Division == b.Division && a.Severity == b.Severity
}
