package remedy

import (
	"context"
	"math"

	"afterchord/sim/proof"
)

// prune takes back, the last first, each change without which the passage about it is no
// worse, and notes what each of the others is worth there.
func (p *Plan) prune(ctx context.Context, in proof.Input) error {
	dropped := false
	in.Beside = p.New
	next := in
	next.Score = p.Score
	made, err := play(next)
	if err != nil {
		return err
	}
	for i := len(p.Changes) - 1; i >= 0; i-- {
		if err := ctx.Err(); err != nil {
			return err
		}
		rest := append(append([]Change{}, p.Changes[:i]...), p.Changes[i+1:]...)
		without := apply(in.Score, (&Plan{Changes: rest}).patches())
		t := newTrial(ctx, in, made, p.Changes[i].finding)
		a, b := t.run(without), t.run(p.Score)
		if a.err != nil || b.err != nil {
			continue
		}
		p.Changes[i].Gain = math.Round((a.all.Cost-b.all.Cost)*100) / 100
		if p.Changes[i].Gain <= 0.1 {
			p.Changes, p.Score, dropped = rest, without, true
			made = played{}
		}
	}
	if !dropped {
		return nil
	}
	in.Score = p.Score
	q, err := proof.Judge(ctx, in)
	if err != nil {
		return err
	}
	p.New = q
	return nil
}
