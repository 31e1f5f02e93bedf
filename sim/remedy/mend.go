package remedy

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"afterchord/acoustics/parallel"
	"afterchord/acoustics/plural"
	"afterchord/sim/field"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
)

// Result is a remedy proved on one finding: the passage before and after.
type Result struct {
	Remedy  string       `json:"remedy"`
	Finding int          `json:"finding"`
	Kind    string       `json:"kind"`
	Where   string       `json:"where"`
	What    string       `json:"what"`    // what was changed
	Verdict string       `json:"verdict"` // what it was worth, one sentence
	Helps   bool         `json:"helps"`
	Before  Tally        `json:"before"` // of the finding, over its passage
	After   Tally        `json:"after"`
	Around  [2]Tally     `json:"around"` // all findings of the passage, before and after
	Figures []Figure     `json:"figures"`
	Score   *score.Score `json:"-"` // the rewritten score; nil where nothing could be written
	price   float64
	trades  bool // something else fails for it
	brings  bool // there are more warnings and fails of another kind for it

	from, to score.Tick // what was played to prove it
}

// gain is what the change takes off the passage's findings.
func (r *Result) gain() float64 { return r.Around[0].Cost - r.Around[1].Cost }

// clearing favours a change that clears its finding over one that eases it.
const clearing = 1.5

// worth orders results: what they clear for what they cost the music.
func (r *Result) worth() float64 {
	w := r.gain() / r.price
	if w > 0 && r.After.serious() == 0 {
		w *= clearing
	}
	return w
}

// Mend tries remedies on a finding (For says which may cure it) and gives the most worthwhile
// first. The finding is one of a proof of in. Each draft is proved on the passage with enough of
// the music before it to ring into it. It errs where ctx ends before all are proved.
func Mend(ctx context.Context, in proof.Input, f finding.Finding, remedies []Remedy) ([]Result, error) {
	written, err := play(in)
	if err != nil {
		return nil, err
	}
	return inTurn(ctx, in, written, f, remedies)
}

// inTurn is Mend for groups of remedies: a group is tried where none of those before it helps, and comes before them.
func inTurn(ctx context.Context, in proof.Input, written played, f finding.Finding, groups ...[]Remedy) ([]Result, error) {
	if in.Hall == nil {
		in = remembering(in)
	}
	t := newTrial(ctx, in, written, f)
	before := t.run(in.Score)
	if before.err != nil {
		return nil, before.err
	}
	if before.target.Places == 0 && !(t.from <= 0 && t.to >= in.Score.End) { // the passage alone does not show it
		t.whole()
		before = t.run(in.Score)
	}
	var out []Result
	for _, remedies := range groups {
		results := make([]Result, len(remedies))
		parallel.Do(0, len(remedies), func(i int) {
			c := newCase(in, written.perf, f)
			c.judge = t.run
			results[i] = c.prove(remedies[i], before, t)
		})
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		out = append(inOrder(results), out...)
		if len(out) > 0 && out[0].Helps {
			break
		}
	}
	return out, nil
}

// remembering is in with a hall that remembers what runs in it have in common.
func remembering(in proof.Input) proof.Input {
	in.Hall = field.NewHall(in.Organ, in.Room, in.Seat, proof.Hearing(), nil).Remembering()
	return in
}

// inOrder leaves what has something to change, the most worthwhile first.
func inOrder(out []Result) []Result {
	if slices.ContainsFunc(out, func(r Result) bool { return r.Score != nil }) { // only what has something to change is offered
		out = slices.DeleteFunc(out, func(r Result) bool { return r.Score == nil && r.Verdict == nothingToChange })
	}
	slices.SortStableFunc(out, func(a, b Result) int {
		switch {
		case a.Helps != b.Helps:
			if a.Helps {
				return -1
			}
			return 1
		case a.trades != b.trades:
			if b.trades {
				return -1
			}
			return 1
		}
		return cmp.Compare(b.worth(), a.worth())
	})
	return out
}

// nothingToChange is the verdict of a remedy that has nothing to hold on to.
const nothingToChange = "There is nothing here that it could change."

// prove writes the drafts of a remedy, the gentlest first, and keeps the first that clears
// the finding, else the one that is worth most.
func (c *Case) prove(r Remedy, before verdict, t *trial) Result {
	f := c.Finding
	best := Result{Remedy: r.Name, Finding: f.ID, Kind: f.Kind, Where: f.Where, Before: before.target, After: before.target,
		Around: [2]Tally{before.all, before.all}, price: r.Price, Figures: figures(before.worst, before.worst),
		Verdict: nothingToChange}
	var reason error
	for _, d := range r.Write(c) {
		if err := Sensible(c.Score(), d.Score, c.Input.Organ, c.Performance.Assignments); err != nil {
			reason = err
			continue
		}
		after := t.run(d.Score)
		if after.err != nil {
			reason = after.err
			continue
		}
		x := Result{Remedy: r.Name, Finding: f.ID, Kind: f.Kind, Where: f.Where, What: d.What, Score: d.Score, price: r.Price + d.Price,
			Before: before.target, After: after.target, Around: [2]Tally{before.all, after.all}, Figures: figures(before.worst, after.worst),
			from: t.from, to: t.to}
		x.judge(before, after)
		if best.Score == nil || x.Helps && !best.Helps || x.Helps == best.Helps && x.worth() > best.worth() {
			best = x
		}
		if x.Helps && after.clear() {
			break
		}
	}
	if best.Score == nil && reason != nil {
		best.Verdict = fmt.Sprintf("It cannot be written here: %v.", reason)
	}
	return best
}

// helpful is the share of the target's cost that must be left at most for a remedy to help.
const helpful = 0.8

// judge says what a draft is worth. It helps where the finding is gone, milder or costs a fifth
// less, and the passage as a whole is better for it; where the finding is a note only, without a warning in return.
func (r *Result) judge(before, after verdict) {
	was, is := before.target, after.target
	less := is.Cost <= helpful*was.Cost
	better := after.all.Cost < before.all.Cost-0.05 && after.all.Fails <= before.all.Fails
	if was.serious() == 0 && after.all.serious()-is.serious() > before.all.serious() { // what is only worth knowing is not worth a warning
		better = false
	}
	r.Helps = less && better
	worse, serious := newKinds(before.findings, after.findings)
	r.brings = serious
	r.trades = after.all.Fails-is.Fails > before.all.Fails-was.Fails
	switch {
	case less && !better && worse != "":
		r.Verdict = fmt.Sprintf("It does not help: it trades it for %s.", strings.ReplaceAll(worse, "-", " "))
	case less && !better:
		r.Verdict = "It does not help: the passage as a whole gets no better."
	case !less && is.Cost > 1.05*was.Cost:
		r.Verdict = "It makes it worse."
	case !less:
		r.Verdict = fmt.Sprintf("It does not help: %s.", left(was, is))
	case is.Places == 0:
		r.Verdict = "It clears the finding."
	case is.serious() == 0 && was.serious() > 0:
		r.Verdict = "It all but clears it: what is left is " + finding.Notice.Word() + "."
	default:
		r.Verdict = fmt.Sprintf("It eases it: %s.", left(was, is))
	}
	if r.Helps && worse != "" {
		r.Verdict += " In return the passage has more of " + strings.ReplaceAll(worse, "-", " ")
		if r.trades {
			r.Verdict += ", to the point that music is lost"
		}
		r.Verdict += "."
	}
}

// left says what remains of a finding.
func left(was, is Tally) string {
	word := func(t Tally) string {
		switch {
		case t.Fails > 0:
			return finding.Fail.Word()
		case t.Warnings > 0:
			return finding.Warning.Word()
		case t.Notes > 0:
			return finding.Notice.Word()
		}
		return "nothing"
	}
	if word(was) != word(is) {
		return fmt.Sprintf("%s instead of %s", word(is), word(was))
	}
	if is.Places < was.Places {
		return fmt.Sprintf("still %s, in %s where it was in %d", word(is), plural.Count(is.Places, "place"), was.Places)
	}
	return fmt.Sprintf("still %s, %s of music lost where it was %s", word(is), seconds(is.LostS), seconds(was.LostS))
}

// seconds writes a length of time with as many places as it needs to be told from none.
func seconds(s float64) string {
	if s < 1 {
		return fmt.Sprintf("%.2f s", s)
	}
	return fmt.Sprintf("%.1f s", s)
}

// newKinds lists the kinds of finding that cost the passage more than before, as "a, b", and reports whether one of them has more warnings and
// fails than before.
func newKinds(before, after []finding.Finding) (kinds string, serious bool) {
	byKind := func(fs []finding.Finding) map[string][]finding.Finding {
		m := map[string][]finding.Finding{}
		for _, f := range fs {
			m[f.Kind] = append(m[f.Kind], f)
		}
		return m
	}
	was, is := byKind(before), byKind(after)
	var out []string
	for kind, fs := range is {
		a, b := NewTally(was[kind]), NewTally(fs)
		serious = serious || b.serious() > a.serious()
		if b.Cost > a.Cost+0.5 {
			out = append(out, kind)
		}
	}
	slices.Sort(out)
	return strings.Join(out, ", "), serious
}

// Best is the result that helps and leaves the whole piece the best, with the proof of it; nil where
// none does. One that makes something else fail is taken only where no other helps. Results are those of Mend on in.
func Best(ctx context.Context, in proof.Input, results []Result) (*Result, *proof.Proof, error) {
	var best *Result
	var with *proof.Proof
	for i := range results {
		if !results[i].Helps {
			continue
		}
		next := in
		next.Score = results[i].Score
		p, err := proof.Run(ctx, next)
		if err != nil {
			return nil, nil, err
		}
		better := best != nil && burden(p, &results[i]) < burden(with, best)
		if best != nil && results[i].trades != best.trades {
			better = best.trades
		}
		if best == nil || better {
			best, with = &results[i], p
		}
	}
	return best, with, nil
}

// burden is what the findings cost the whole piece, and the change the music.
func burden(p *proof.Proof, r *Result) float64 {
	return NewTally(p.Document.Findings).Cost + leastWorth*r.price
}
