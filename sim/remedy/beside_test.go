package remedy

import (
	"context"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
	"afterchord/acoustics/room"
	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/proof"
	"afterchord/sim/score"
)

// besideCheck proves drafts by themselves and beside the piece as it is written, which must come to the same bits.
type besideCheck struct {
	in      proof.Input
	written *proof.Proof
}

func newBesideCheck(t *testing.T, in proof.Input) *besideCheck {
	written, err := proof.Run(context.Background(), remembering(in))
	require.NoError(t, err)
	return &besideCheck{in, written}
}

func (b *besideCheck) draft(t *testing.T, name string, s *score.Score) {
	in := b.in
	in.Score = s
	alone, err := proof.Judge(context.Background(), in)
	in.Hall, in.Beside = b.written.Field.Hall, b.written
	beside, besideErr := proof.Judge(context.Background(), in)
	require.Equal(t, err, besideErr, name)
	if err != nil {
		return
	}
	require.Equal(t, alone.Document, beside.Document, name)
	require.Equal(t, alone.Field.LevelDB, beside.Field.LevelDB, name)
	require.Equal(t, alone.Field.ResidueDB, beside.Field.ResidueDB, name)
	require.Equal(t, alone.Field.Onsets, beside.Field.Onsets, name)
}

// every proves what each remedy writes for a finding.
func (b *besideCheck) every(t *testing.T, f finding.Finding, remedies []Remedy) {
	perf, err := performance.Build(b.in.Score, b.in.Organ, b.in.Player)
	require.NoError(t, err)
	for _, m := range remedies {
		c := newCase(b.in, perf, f)
		c.judge = func(*score.Score) verdict { return verdict{} }
		for _, d := range m.Write(c) {
			b.draft(t, m.Name, d.Score)
		}
	}
}

// What a remedy writes is proved beside the piece as it is written to the same bits as by itself.
func TestRewritingsBesideThePiece(t *testing.T) {
	rooms, names := []string{"parish-church"}, []string{"brook"}
	if longtest.Wanted() {
		rooms, names = room.BuiltIns(), demos.Names
	}
	for _, at := range rooms {
		for _, name := range names {
			b := newBesideCheck(t, demo(t, name, at))
			for i, f := range b.written.Document.Findings {
				if i < longtest.Of(1, 10) {
					b.every(t, f, For(f.Kind))
				}
			}
		}
	}
}

// The same of every remedy on scores that are made up.
func TestEveryRewritingBesideThePiece(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 18))
	rooms := room.BuiltIns()
	for i := range longtest.Of(1, 60) {
		b := newBesideCheck(t, input(t, random(t, r), rooms[i%len(rooms)], "minster"))
		for _, m := range Table {
			b.every(t, anyFinding(r, b.in.Score, m.Cures[r.IntN(len(m.Cures))]), []Remedy{m})
		}
	}
}
