package remedy

import (
	"context"
	"fmt"
	"slices"

	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/proof"
	"afterchord/sim/score"
)

// Plan is a set of changes to a piece, proved together.
type Plan struct {
	Changes       []Change     `json:"changes"`
	Left          []Left       `json:"left"`
	Before, After Tally        `json:"-"`
	Score         *score.Score `json:"-"` // the rewritten score
	Old, New      *proof.Proof `json:"-"`
	Why           string       `json:"why"` // why this set
	Partial       bool         `json:"-"`   // the search was stopped; the set is what it had by then

	tried   map[string]bool
	helps   []finding.Finding // that some remedy helps
	helpful int               // how many results helped at a fair price
}

// Change is one rewriting of a plan.
type Change struct {
	Result
	Reason  string  `json:"reason"` // why it was picked
	Gain    float64 `json:"gain"`   // what its passage's cost rises by without it
	finding finding.Finding
	round   int
	patch   patch
}

// Left is a finding that the plan leaves.
type Left struct {
	Kind     string           `json:"kind"`
	Where    string           `json:"where"`
	Severity finding.Severity `json:"severity"`
	Why      string           `json:"why"`
}

// mostFindings is how many findings All works on in a round, the worst first, and rounds how often it
// looks again at what is left.
const (
	mostFindings = 60
	rounds       = 3
)

// All picks a small set of changes that clears much of the piece. Each remedy is proved on
// each finding (a slower tempo only where nothing else helps); then, the most worthwhile first (cost cleared for the price of the change), each
// is made if the whole piece gets better by it and nothing comes to fail that did not; each is changed for
// another that helps its finding where the piece is the better for it; what is left or new is looked at again on the
// piece as it then stands. At the end every change that the rest does without is taken back.
// The search is local: it finds a small set, not surely the smallest. Where ctx ends before it is done, the plan is made of
// what was found by then, proved like any other; it errs where that is nothing.
func All(ctx context.Context, in proof.Input, progress func(done, total float64)) (*Plan, error) {
	if progress == nil {
		progress = func(done, total float64) {}
	}
	in = remembering(in)
	old, err := proof.Run(ctx, in)
	if err != nil {
		return nil, err
	}
	p := &Plan{Old: old, New: old, Score: in.Score, Before: NewTally(old.Document.Findings), tried: map[string]bool{}}
	settle := context.WithoutCancel(ctx) // what was found is put together and proved
	for round := range rounds {
		queue, err := p.round(ctx, in, round, func(share float64) { progress(float64(round)+0.8*share, rounds) })
		if err != nil {
			return nil, err
		}
		if len(queue) == 0 {
			break
		}
		p.helpful += len(queue)
		n := len(p.Changes)
		if err := p.pick(ctx, in, queue, func(share float64) { progress(float64(round)+0.8+0.2*share, rounds) }); err != nil {
			return nil, err
		}
		p.swap(ctx, in, queue)
		if len(p.Changes) == n || ctx.Err() != nil {
			break
		}
	}
	if p.Partial = ctx.Err() != nil; p.Partial && len(p.Changes) == 0 {
		return nil, ctx.Err()
	}
	if err := p.prune(settle, in); err != nil {
		return nil, err
	}
	if len(p.Changes) > 0 { // what was only judged on the way is heard once
		in.Score = p.Score
		if p.New, err = proof.Run(settle, in); err != nil {
			return nil, err
		}
	}
	p.After = NewTally(p.New.Document.Findings)
	p.leftOver()
	p.explain()
	progress(1, 1)
	return p, nil
}

// round proves the remedies on the findings that the piece has as it stands, and returns what helps, as far as it comes until
// ctx ends.
func (p *Plan) round(ctx context.Context, in proof.Input, round int, step func(share float64)) ([]Change, error) {
	in.Score, in.Beside = p.Score, p.New
	written, err := play(in)
	if err != nil {
		return nil, err
	}
	found := p.New.Document.Findings
	var queue []Change
	for i, f := range found[:min(mostFindings, len(found))] {
		if ctx.Err() != nil {
			break
		}
		key := fmt.Sprint(f.Kind, f.Where, f.Division, f.Severity)
		if p.tried[key] || f.Severity == finding.Notice && (round > 0 || !worthANote(f.Kind)) {
			continue
		}
		p.tried[key] = true
		results, err := quickly(ctx, in, written, f)
		switch {
		case ctx.Err() != nil:
			continue
		case err != nil:
			return nil, err
		}
		for _, r := range results {
			if !r.Helps {
				continue
			}
			p.helps = append(p.helps, f)
			if r.price > mostPrice || r.brings && f.Severity != finding.Fail {
				continue
			}
			if round > 0 {
				r.Finding = 0 // it has no number in the proof as written
			}
			queue = append(queue, Change{Result: r, finding: f, round: round, patch: difference(p.Score, r.Score)})
		}
		step(float64(i+1) / float64(len(found)))
	}
	slices.SortStableFunc(queue, func(a, b Change) int {
		switch {
		case a.worth() > b.worth():
			return -1
		case a.worth() < b.worth():
			return 1
		}
		return 0
	})
	return queue, nil
}

// mostPrice is the dearest change that a plan takes: a tempo down to about 0.7 of itself.
const mostPrice = 5.6

// leastWorth is what a change must take off the piece's cost for each unit of its price.
const leastWorth = 0.3

// pick makes the changes that better the piece, the most worthwhile first: all at once those whose
// passages lie apart, then what is left on the piece as it stands then. Where ctx has ended it makes what can be made
// at once.
func (p *Plan) pick(ctx context.Context, in proof.Input, queue []Change, step func(share float64)) error {
	perf, err := performance.Build(in.Score, in.Organ, in.Player)
	if err != nil {
		return err
	}
	all, settle := len(queue), context.WithoutCancel(ctx)
	for len(queue) > 0 {
		var batch, rest []Change
		for _, c := range queue {
			switch {
			case c.worth() < leastWorth || p.clash(c) || !p.open(c):
			case meets(batch, c):
				rest = append(rest, c)
			case Sensible(in.Score, apply(in.Score, append(p.patches(), c.patch)), in.Organ, perf.Assignments) == nil:
				batch = append(batch, c)
			}
		}
		made := len(batch) > 1 && p.make(settle, in, batch)
		if ctx.Err() != nil {
			for n := (len(batch) + 1) / 2; !made && n > 0; n /= 2 { // the more worthwhile half
				made = p.make(settle, in, batch[:n])
			}
			return nil
		}
		for _, c := range batch {
			if !made && ctx.Err() == nil && p.open(c) {
				p.make(settle, in, []Change{c})
			}
		}
		queue = rest
		step(float64(all-len(queue)) / float64(all))
	}
	return nil
}

// meets reports whether a change's passage overlaps one of the batch, or either moves the tempo.
func meets(batch []Change, c Change) bool {
	for _, b := range batch {
		if b.from < c.to && c.from < b.to || len(b.patch.tempos)+len(c.patch.tempos) > 0 {
			return true
		}
	}
	return false
}

// make proves the piece with some more changes and keeps them where it is better by what they cost.
func (p *Plan) make(ctx context.Context, in proof.Input, batch []Change) bool {
	try := p.patches()
	price := 0.0
	for _, c := range batch {
		try = append(try, c.patch)
		price += c.price
	}
	in.Score, in.Beside = apply(in.Score, try), p.New
	q, err := proof.Judge(ctx, in)
	if err != nil { // a set that cannot be played is not taken
		return false
	}
	now, t := NewTally(p.New.Document.Findings), NewTally(q.Document.Findings)
	if now.Cost-t.Cost < leastWorth*price || newFail(p.New.Document.Findings, q.Document.Findings) {
		return false
	}
	for _, c := range batch {
		c.Reason = passageReason(c)
		p.Changes = append(p.Changes, c)
	}
	p.New, p.Score = q, in.Score
	return true
}

func (p *Plan) patches() []patch {
	var out []patch
	for _, c := range p.Changes {
		out = append(out, c.patch)
	}
	return out
}

// clash reports whether a change writes on notes that another has changed: cut down twice, a chord is a chord no more.
func (p *Plan) clash(c Change) bool {
	for _, x := range p.Changes {
		if x.patch.clashes(c.patch) {
			return true
		}
	}
	return false
}

// open reports whether the finding that a change is for is still there.
func (p *Plan) open(c Change) bool { return len(same(p.New.Document.Findings, c.finding)) > 0 }

// passageReason is why a change was picked.
func passageReason(c Change) string {
	return fmt.Sprintf("the cost of the findings in its passage falls from %.1f to %.1f", c.Around[0].Cost, c.Around[1].Cost)
}
