package proof_test

import (
	"context"
	"math/rand/v2"
	"slices"
	"testing"

	"afterchord/acoustics/room"
	"afterchord/sim/demos"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/file"
	"afterchord/voicing"

	"github.com/stretchr/testify/require"
)

// What is only judged has the findings of a whole run, but for the curves of clarity.
func TestJudgeFindsWhatRunFinds(t *testing.T) {
	r, _ := room.BuiltIn("cathedral")
	o, _ := voicing.BuiltIn("minster")
	seat, err := r.Seat("middle")
	require.NoError(t, err)
	for _, name := range demos.Names {
		t.Run(name, func(t *testing.T) {
			data, ok := demos.Piece(name)
			require.True(t, ok)
			s, err := file.Read(data, demos.File(name))
			require.NoError(t, err)
			in := proof.Input{Score: s, Room: r, Seat: seat, Organ: o}
			whole, err := proof.Run(context.Background(), in)
			require.NoError(t, err)
			judged, err := proof.Judge(context.Background(), in)
			require.NoError(t, err)
			require.Empty(t, judged.Document.Timeline.HeardShare)
			for i := range whole.Document.Findings {
				if x := whole.Document.Findings[i].Trace; x != nil && judged.Document.Findings[i].Trace.Share == nil {
					x.Share = nil
				}
			}
			require.Equal(t, whole.Document.Findings, judged.Document.Findings)
		})
	}
}

// A run that takes over what an earlier one knows of the hall, at another tempo and with other boxes, finds to the bit what it finds without.
func TestHallTakenOver(t *testing.T) {
	r, _ := room.BuiltIn("cathedral")
	o, _ := voicing.BuiltIn("minster")
	seat, err := r.Seat("middle")
	require.NoError(t, err)
	data, ok := demos.Piece("dawn")
	require.True(t, ok)
	s, err := file.Read(data, demos.File("dawn"))
	require.NoError(t, err)
	in := proof.Input{Score: s, Room: r, Seat: seat, Organ: o}
	alone, err := proof.Run(context.Background(), in)
	require.NoError(t, err)
	in.Tempo = 1.3
	other, err := proof.Judge(context.Background(), in)
	require.NoError(t, err)
	in.Tempo, in.Hall = 0, other.Field.Hall
	again, err := proof.Run(context.Background(), in)
	require.NoError(t, err)
	require.Equal(t, alone.Document, again.Document)
}

// Rewritings proved one after another in a hall that remembers, beside the piece as it is written, come to the bit to what each comes to by itself.
func TestRewritingsInAHallThatRemembers(t *testing.T) {
	r, _ := room.BuiltIn("abbey")
	o, _ := voicing.BuiltIn("minster")
	seat, err := r.Seat("middle")
	require.NoError(t, err)
	for _, name := range []string{"dawn", "brook"} {
		data, ok := demos.Piece(name)
		require.True(t, ok, name)
		s, err := file.Read(data, demos.File(name))
		require.NoError(t, err)
		in := proof.Input{Score: s, Room: r, Seat: seat, Organ: o}
		first, err := proof.Judge(context.Background(), in)
		require.NoError(t, err)
		in.Hall = first.Field.Hall.Remembering()
		written, err := proof.Run(context.Background(), in)
		require.NoError(t, err)
		hall := written.Field.Hall
		random := rand.New(rand.NewPCG(1, 18))
		for range 6 {
			in.Score = changed(s, random)
			in.Hall, in.Beside = nil, nil
			alone, err := proof.Judge(context.Background(), in)
			require.NoError(t, err)
			in.Hall, in.Beside = hall, written
			again, err := proof.Judge(context.Background(), in)
			require.NoError(t, err)
			require.Equal(t, alone.Document, again.Document)
			require.Equal(t, alone.Field.LevelDB, again.Field.LevelDB)
			require.Equal(t, alone.Field.Onsets, again.Field.Onsets)
		}
	}
}

// changed is a score with one note gone, one held longer and one a third higher.
func changed(s *score.Score, random *rand.Rand) *score.Score {
	x := *s
	x.Notes = slices.Clone(s.Notes)
	i := random.IntN(len(x.Notes))
	x.Notes = slices.Delete(x.Notes, i, i+1)
	i = random.IntN(len(x.Notes))
	x.Notes[i].Off += x.TicksPerCrotchet / 3
	x.Notes[random.IntN(len(x.Notes))].Key += 4
	x.SortNotes()
	x.Index()
	return &x
}
