package proof_test

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"afterchord/acoustics/room"
	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/smf"
	"afterchord/voicing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func input(t testing.TB, s *score.Score, roomName, organ string) proof.Input {
	t.Helper()
	r, ok := room.BuiltIn(roomName)
	require.True(t, ok)
	o, ok := voicing.BuiltIn(organ)
	require.True(t, ok)
	seat, err := r.Seat("middle")
	require.NoError(t, err)
	return proof.Input{Score: s, Room: r, Seat: seat, Organ: o}
}

func demo(t testing.TB, name, roomName string) *proof.Proof {
	t.Helper()
	data, ok := demos.Piece(name)
	require.True(t, ok)
	s, err := smf.Read(data, name+".mid")
	require.NoError(t, err)
	p, err := proof.Run(context.Background(), input(t, s, roomName, "minster"))
	require.NoError(t, err)
	return p
}

// Two works in the public domain run whole on every built-in organ.
func TestSharedScoresRunWhole(t *testing.T) {
	files, _ := filepath.Glob("../../../shared/scores/*.mid")
	if len(files) == 0 {
		t.Skip("the two public-domain scores are not beside this checkout")
	}
	for _, path := range files {
		data, err := os.ReadFile(path)
		require.NoError(t, err)
		s, err := smf.Read(data, filepath.Base(path))
		require.NoError(t, err)
		for _, organ := range voicing.BuiltIns() {
			p, err := proof.Run(context.Background(), input(t, s, "parish-church", organ))
			require.NoError(t, err)
			silent := 0 // a bass line written out again for a 16 ft stop is played once
			for _, a := range p.Performance.Assignments {
				for _, n := range s.Notes {
					if a.Silent && n.Part == a.Part {
						silent++
					}
				}
			}
			assert.Equal(t, len(s.Notes)-silent, len(p.Document.Notes))
			for _, f := range p.Document.Findings {
				assert.NotEmpty(t, f.Message)
				assert.NotEmpty(t, f.Where)
				assert.GreaterOrEqual(t, f.UntilS, f.AtS)
			}
		}
	}
}

func TestSameInputSameDocument(t *testing.T) {
	a, err := json.Marshal(demo(t, "drop", "cathedral").Document)
	require.NoError(t, err)
	for range 3 {
		b, err := json.Marshal(demo(t, "drop", "cathedral").Document)
		require.NoError(t, err)
		require.Equal(t, string(a), string(b))
	}
}

// What a measured room is not sure of stands in the document.
func TestUnsureBandsAreInTheDocument(t *testing.T) {
	r, err := room.Parse([]byte("unsure = [63, 500]\n[rt60]\n\"500\" = 3\n"), "ours.toml")
	require.NoError(t, err)
	p := forteToPiano(1).proofIn(t, r)
	require.Equal(t, []float64{63, 500}, p.Document.Room.UnsureHz)
}

func TestNoNotesIsAnError(t *testing.T) {
	_, err := proof.Run(context.Background(), input(t, &score.Score{File: "empty.mid", TicksPerCrotchet: 480}, "chapel", "village"))
	require.ErrorContains(t, err, "empty.mid: the score has no notes")
}

func BenchmarkProof(b *testing.B) {
	data, _ := demos.Piece("drop")
	s, err := smf.Read(data, "drop.mid")
	require.NoError(b, err)
	in := input(b, s, "cathedral", "minster")
	for b.Loop() {
		if _, err := proof.Run(context.Background(), in); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(s.Seconds(s.End)*float64(b.N)/b.Elapsed().Seconds(), "x-realtime")
}

// The notes of the picture say which finding concerns them: those of a covered entry and no others.
func TestNotesSayWhatWasFoundOnThem(t *testing.T) {
	m := forteToPiano(0)
	lost := 0
	for _, n := range m.proof(t, "cathedral").Document.Notes {
		if n.Found == finding.Fail {
			lost++
			assert.Equal(t, 16*60.0/72, n.OnS, "only the first chord of the quiet passage")
		}
	}
	assert.Equal(t, 4, lost)
	for _, n := range m.proof(t, "practice-room").Document.Notes {
		assert.Empty(t, n.Found)
	}
}
