package remedy

import (
	"fmt"

	"afterchord/acoustics/plural"
	"afterchord/sim/finding"
)

// leftOver says for each finding of the rewritten piece why it stays.
func (p *Plan) leftOver() {
	for _, f := range p.New.Document.Findings {
		p.Left = append(p.Left, Left{Kind: f.Kind, Where: f.Where, Severity: f.Severity, Why: p.why(f)})
	}
}

// why says what became of a finding that stays.
func (p *Plan) why(f finding.Finding) string {
	if len(For(f.Kind)) == 0 {
		return "no remedy rewrites this kind; see what the report suggests"
	}
	for _, c := range p.Changes {
		if len(same([]finding.Finding{c.finding}, f)) > 0 {
			return "eased, not cleared, by this change: " + Does(c.Remedy)
		}
	}
	if len(p.Changes) > 0 && len(same(p.Old.Document.Findings, f)) == 0 {
		return "new: caused by a change nearby, which clears more than this costs"
	}
	if len(same(p.helps, f)) > 0 {
		return "what would help costs the music more than it clears"
	}
	return "no remedy tried here helps"
}

func (p *Plan) explain() {
	b, a := p.Before, p.After
	switch {
	case b.Places == 0:
		p.Why = "There is nothing to mend: the piece has no findings."
	case len(p.Changes) == 0 && p.helpful == 0:
		p.Why = "No change is proposed: no remedy helps any finding at a fair price."
	case len(p.Changes) == 0:
		p.Why = "No change is proposed: what helps one place makes the piece as a whole no better."
	default:
		p.Why = fmt.Sprintf("%s of %d that help in their place: together they bring %s and %s to %d and %d; each is kept because its passage is worse without it.",
			plural.Count(len(p.Changes), "change"), p.helpful, finding.Fail.Counted(b.Fails), finding.Warning.Counted(b.Warnings), a.Fails, a.Warnings)
	}
	if p.Partial {
		p.Why += " The search was interrupted: not every finding was looked at."
	}
}
