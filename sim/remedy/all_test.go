package remedy

import (
	"bytes"
	"context"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score/file"
	"afterchord/sim/score/smf"
)

func demo(t testing.TB, name, room string) proof.Input {
	t.Helper()
	data, ok := demos.Piece(name)
	require.True(t, ok)
	s, err := file.Read(data, name)
	require.NoError(t, err)
	return input(t, s, room, "minster")
}

func TestAllClearsMoreThanItCosts(t *testing.T) {
	in := demo(t, "drop", "cathedral")
	p, err := All(context.Background(), in, nil)
	require.NoError(t, err)
	require.NotEmpty(t, p.Changes)
	require.LessOrEqual(t, p.After.Fails, p.Before.Fails)
	require.Less(t, p.After.Cost, p.Before.Cost/2)
	// what is reported is what the score gives when it is proved again from its file
	var b bytes.Buffer
	require.NoError(t, smf.Write(&b, p.Score))
	back, err := smf.Read(b.Bytes(), "drop.mid")
	require.NoError(t, err)
	in.Score = back
	again, err := proof.Run(context.Background(), in)
	require.NoError(t, err)
	require.InDelta(t, p.After.Cost, NewTally(again.Document.Findings).Cost, 0.05)
	for _, c := range p.Changes {
		require.Greater(t, c.Gain, 0.0, c.What)
		require.NotEmpty(t, c.Reason)
	}
}

func TestAllIsDeterministic(t *testing.T) {
	run := func() string {
		p, err := All(context.Background(), demo(t, "solo", "chapel"), nil)
		require.NoError(t, err)
		b, err := json.Marshal(p)
		require.NoError(t, err)
		var mid bytes.Buffer
		require.NoError(t, smf.Write(&mid, p.Score))
		return string(b) + mid.String()
	}
	require.Equal(t, run(), run())
}

func TestAllLeavesACleanPieceAlone(t *testing.T) {
	s := page(3, 60)
	mark(s, -1, 0, "mf")
	write(s, 0, 0, 2*tpc, 0.9, "60+64+67 62+65+69 60+64+67 59+62+67 60+64+67")
	in := input(t, s, "practice-room", "minster")
	p, err := All(context.Background(), in, nil)
	require.NoError(t, err)
	require.Empty(t, p.Changes)
	require.Same(t, in.Score, p.Score)
}

func TestAllStops(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	stop()
	_, err := All(ctx, demo(t, "drop", "cathedral"), nil)
	require.ErrorIs(t, err, context.Canceled)
}

// An excerpt shows in its bars what the whole piece shows there.
func TestExcerptsAgreeWithTheWhole(t *testing.T) {
	for _, name := range []string{"drop", "dotted"} {
		t.Run(name, func(t *testing.T) {
			in := demo(t, name, "parish-church")
			whole, err := proof.Run(context.Background(), in)
			require.NoError(t, err)
			for _, f := range whole.Document.Findings {
				from, to := around(in, f)
				cut, err := excerpt(in, played{}, from, to)
				require.NoError(t, err)
				p, err := proof.Run(context.Background(), cut)
				require.NoError(t, err)
				hits := same(p.Document.Findings, f)
				require.NotEmpty(t, hits, "%s %s", name, f.Where)
				if len(hits) == 1 && hits[0].Count == f.Count {
					require.Equal(t, f.Bar, hits[0].Bar)
					require.InDelta(t, f.Weight, hits[0].Weight, 0.2*f.Weight+0.1, "%s %s", name, f.Where)
				}
			}
		})
	}
}

func TestARemedyThatDoesNotHelpSaysSo(t *testing.T) {
	// slowing down hardly helps an entry after a fall: the tail does not wait for the metronome
	in := demo(t, "drop", "cathedral")
	r := try(t, in, finding.KindCoveredEntry, "slow")
	require.False(t, r.Helps)
	require.Contains(t, r.Verdict, "does not help")
	p, err := proof.Run(context.Background(), in)
	require.NoError(t, err)
	rs, err := Mend(context.Background(), in, p.Document.Findings[0], For(p.Document.Findings[0].Kind))
	require.NoError(t, err)
	best, _, err := Best(context.Background(), in, rs)
	require.NoError(t, err)
	require.NotNil(t, best)
	require.Equal(t, "release-early", best.Remedy, "a rest before the entry; what makes something else fail, or makes dots of all notes, comes after it")
}

func TestOfferIsBounded(t *testing.T) {
	in := demo(t, "vigil", "cathedral")
	p, err := proof.Run(context.Background(), in)
	require.NoError(t, err)
	none, err := Offer(context.Background(), in, p, 0)
	require.NoError(t, err)
	require.Empty(t, none)
	offers, err := Offer(context.Background(), in, p, 2)
	require.NoError(t, err)
	seen := map[int]bool{}
	for _, r := range offers {
		seen[r.Finding] = true
		require.NotEmpty(t, r.What)
		require.NotEmpty(t, r.Verdict)
		require.NotEmpty(t, r.Figures)
	}
	require.Len(t, seen, 2)
}

// Nothing is proved for somebody who has gone.
func TestCancelled(t *testing.T) {
	in := demo(t, "drop", "cathedral")
	p, err := proof.Run(context.Background(), in)
	require.NoError(t, err)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	_, err = proof.Run(ctx, in)
	require.ErrorIs(t, err, context.Canceled)
	_, err = Mend(ctx, in, p.Document.Findings[0], For(p.Document.Findings[0].Kind))
	require.ErrorIs(t, err, context.Canceled)
	_, err = Offer(ctx, in, p, 2)
	require.ErrorIs(t, err, context.Canceled)
	_, err = All(ctx, in, func(done, total float64) {})
	require.ErrorIs(t, err, context.Canceled)
}

func TestPatchesPutTogetherGiveTheDraft(t *testing.T) {
	in := demo(t, "dotted", "parish-church")
	r := try(t, in, finding.KindRunTogether, "alternate-octaves")
	require.NotNil(t, r.Score)
	require.Equal(t, strokesOf(r.Score), strokesOf(apply(in.Score, []patch{difference(in.Score, r.Score)})))
	require.Equal(t, strokesOf(in.Score), strokesOf(apply(in.Score, nil)))
}

func TestTallyCountsAndOrders(t *testing.T) {
	f := func(s finding.Severity) finding.Finding { return finding.Finding{Severity: s, Count: 1, Weight: 0.5} }
	a, b, c := NewTally([]finding.Finding{f("fail")}), NewTally([]finding.Finding{f("warning")}), NewTally([]finding.Finding{f("note")})
	require.Equal(t, 1, a.Fails)
	require.Greater(t, a.Cost, b.Cost)
	require.Greater(t, b.Cost, c.Cost)
	require.Greater(t, c.Cost, 0.0)
}

func TestEveryRemedyHasKindsThatExist(t *testing.T) {
	kinds := map[string]bool{}
	for _, k := range finding.Kinds {
		kinds[k.Name] = true
	}
	names := map[string]bool{}
	for _, r := range Table {
		require.False(t, names[r.Name])
		names[r.Name] = true
		require.Positive(t, r.Price)
		for _, k := range r.Cures {
			require.True(t, kinds[k], k)
		}
	}
}

// Stopped after some findings, the plan is what was found by then, and as good as it says; the same as ever where nothing was.
func TestAllKeepsWhatItHasWhenStopped(t *testing.T) {
	in := demo(t, "drop", "cathedral")
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	p, err := All(ctx, in, func(done, _ float64) {
		if done > 0 {
			stop()
		}
	})
	require.NoError(t, err)
	require.True(t, p.Partial)
	require.NotEmpty(t, p.Changes)
	require.Less(t, p.After.Cost, p.Before.Cost)
	require.Contains(t, p.Why, "interrupted")
	in.Score = p.Score
	again, err := proof.Run(context.Background(), in)
	require.NoError(t, err)
	require.Equal(t, p.After, NewTally(again.Document.Findings))
	whole, err := All(context.Background(), demo(t, "drop", "cathedral"), nil)
	require.NoError(t, err)
	require.False(t, whole.Partial)
}
