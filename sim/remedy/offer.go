package remedy

import (
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// offerSpanBars is the longest passage that Offer proves remedies on; it keeps the report quick.
const offerSpanBars = 24

// Offer proves remedies on the worst max findings of p (a run of in) and returns what they are worth, in
// the order of the findings and the most worthwhile first. Findings without a remedy or
// that run over more than a page are passed over.
func Offer(in proof.Input, p *proof.Proof, max int) []proof.RemedyInfo {
	var out []proof.RemedyInfo
	for _, f := range p.Document.Findings {
		if max == 0 {
			break
		}
		if f.Severity == finding.Notice && f.Kind != "doubled-in-vain" && f.Kind != "thin-figure" ||
			len(For(f.Kind)) == 0 || f.ToBar-f.Bar > offerSpanBars {
			continue
		}
		max--
		results, err := Mend(in, f)
		if err != nil {
			continue
		}
		for _, r := range results {
			if r.Score != nil {
				out = append(out, r.Info())
			}
		}
	}
	return out
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
