package remedy

import (
	"context"

	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// offerSpanBars is the longest passage that Offer proves remedies on; it keeps the report quick.
const offerSpanBars = 24

// Offer proves remedies on the worst max findings of p (a run of in) and returns what they are worth, in
// the order of the findings and the most worthwhile first. Findings without a remedy or
// that run over more than a page are passed over. It errs only where ctx ends before.
func Offer(ctx context.Context, in proof.Input, p *proof.Proof, max int) ([]proof.RemedyInfo, error) {
	written, err := play(in)
	if err != nil {
		return nil, nil // nothing can be rewritten
	}
	var out []proof.RemedyInfo
	in.Hall, in.Beside = p.Field.Hall.Remembering(), p
	for _, f := range p.Document.Findings {
		if max == 0 {
			break
		}
		if f.Severity == finding.Notice && !worthANote(f.Kind) ||
			len(For(f.Kind)) == 0 || f.ToBar-f.Bar > offerSpanBars {
			continue
		}
		max--
		results, err := quickly(ctx, in, written, f)
		switch {
		case ctx.Err() != nil:
			return nil, ctx.Err()
		case err != nil:
			continue
		}
		for _, r := range results {
			if r.Score != nil {
				out = append(out, r.Info())
			}
		}
	}
	return out, nil
}

// worthANote reports whether a kind is worth rewriting where it is a note only: what adds nothing can go
// and what is thin can be held at no cost.
func worthANote(kind string) bool {
	return kind == finding.KindDoubledInVain || kind == finding.KindThinFigure
}

// quickly is Mend without the search for a tempo where something else helps.
func quickly(ctx context.Context, in proof.Input, written played, f finding.Finding) ([]Result, error) {
	var local, tempo []Remedy
	for _, r := range For(f.Kind) {
		if r.Name == "slow" {
			tempo = append(tempo, r)
		} else {
			local = append(local, r)
		}
	}
	return inTurn(ctx, in, written, f, local, tempo)
}

// Info is the result as the report lists it.
func (r Result) Info() proof.RemedyInfo {
	i := proof.RemedyInfo{Finding: r.Finding, Remedy: r.Remedy, What: r.What, Verdict: r.Verdict, Helps: r.Helps,
		LostBeforeS: r.Before.LostS, LostAfterS: r.After.LostS}
	for _, f := range r.Figures {
		i.Figures = append(i.Figures, proof.FigureChange{Name: f.Name, Before: f.Before, After: f.After})
	}
	return i
}
