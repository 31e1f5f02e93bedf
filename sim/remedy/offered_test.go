package remedy

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/finding"
	"afterchord/sim/performance"
	"afterchord/sim/score"
)

// caseOf is a finding of a kind in the first bar that names all notes of a page.
func caseOf(t *testing.T, s *score.Score, kind string) *Case {
	t.Helper()
	in := input(t, s, "parish-church", "minster")
	perf, err := performance.Build(in.Score, in.Organ, in.Player)
	require.NoError(t, err)
	f := finding.Finding{Kind: kind, Bar: 1, ToBar: 1}
	for _, n := range s.Notes {
		f.Notes = append(f.Notes, n.ID)
	}
	return newCase(in, perf, f)
}

func keysOf(s *score.Score) (keys []int) {
	for _, n := range s.Notes {
		keys = append(keys, n.Key)
	}
	return keys
}

// What a staff strikes alone is its line: the running bass stays, though the chord above it has its octave.
func TestNoHoleInARunningBass(t *testing.T) {
	s := page(1, 72)
	write(s, 0, 0, 2*tpc, 1, "67+72+79")
	write(s, 1, 0, tpc/2, 1, "48 50 52 53")
	drafts := DropDoublings(caseOf(t, s, finding.KindHandReach))
	require.Len(t, drafts, 2)
	require.Equal(t, []int{72, 79, 48, 50, 52, 53}, keysOf(drafts[0].Score), "the tune's octave above stays as long as the one below can go")
	require.Contains(t, drafts[0].What, "a 16 ft stop")
	require.Equal(t, []int{67, 72, 48, 50, 52, 53}, keysOf(drafts[1].Score))
}

// A run whose keys would be down for less than any touch is not detached.
func TestAQuickRunIsNotDetached(t *testing.T) {
	run := func(tempo float64) []Draft {
		s := page(1, tempo)
		write(s, 0, 0, tpc/4, 1, "60 62 60 62 60 62 60 62 60 62 60 62")
		return Detach(caseOf(t, s, finding.KindRunTogether))
	}
	require.Empty(t, run(160))
	require.NotEmpty(t, run(72))
}

// Where solo and accompaniment are on one keyboard, the feet at rest or not, no mark sets one above the other.
func TestOneKeyboardHasOneLoudness(t *testing.T) {
	s := page(1, 72)
	s.Parts[1].Name = "Great 2"
	mark(s, -1, 0, "mf")
	write(s, 0, 0, tpc, 1, "72 74 76 77")
	write(s, 1, 0, tpc/2, 1, "60 64 67 64 60 64 67 64")
	write(s, 2, 0, 4*tpc, 1, "36")
	c := caseOf(t, s, finding.KindSoloNotApart)
	require.Equal(t, c.Division(0), c.Division(1))
	require.Empty(t, SoloUp(c))
	require.Empty(t, AccompanimentDown(c))
	s.Parts[1].Name = "Swell"
	require.NotEmpty(t, SoloUp(caseOf(t, s, finding.KindSoloNotApart)))
}

// A note is not worth a warning; a fail is.
func TestANoteIsNotTraded(t *testing.T) {
	judged := func(severity finding.Severity, weight float64) Result {
		f := finding.Finding{Kind: finding.KindDoubledInVain, Severity: severity, Count: 9, Weight: weight}
		g := finding.Finding{Kind: finding.KindCoveredEntry, Severity: finding.Warning, Count: 1, Weight: 0.5}
		tally := NewTally([]finding.Finding{f})
		r := Result{Before: tally}
		r.judge(verdict{all: tally, target: tally, findings: []finding.Finding{f}},
			verdict{all: NewTally([]finding.Finding{g}), findings: []finding.Finding{g}})
		return r
	}
	note := judged(finding.Notice, 60)
	require.False(t, note.Helps)
	require.Contains(t, note.Verdict, "it trades it for covered entry")
	require.True(t, judged(finding.Fail, 60).Helps)
}

// On one manual a tune is set off by where it lies: the figure under it goes down, or it goes up. With two there is a better way.
func TestATuneOnOneManualIsSetOffByAnOctave(t *testing.T) {
	s := page(8, 72)
	s.Parts = []score.Part{{Name: "right", Track: 2, Channel: 1}, {Name: "left", Track: 3, Channel: 2}}
	mark(s, -1, 0, "mf")
	for half := range score.Tick(2) {
		at := half * 16 * tpc
		write(s, 0, at, tpc, 1, "72 74 76 77 79 77 76 74 72 70 69 70 72 74 72 69")
		for beat := range score.Tick(16) {
			write(s, 1, at+beat*tpc, tpc/4, 1, []string{"60 64 67 64", "60 65 69 65", "59 62 67 62", "60 64 67 64"}[beat/2%4])
		}
	}
	in := input(t, s, "parish-church", "cabinet")
	r := try(t, in, finding.KindSoloNotApart, "octave-apart")
	require.True(t, r.Helps, r.Verdict)
	require.Contains(t, r.What, "an octave down")
	require.Zero(t, r.After.Warnings)
	for i, n := range r.Score.Notes {
		if n.Part == 1 {
			require.Equal(t, s.Notes[i].Key-12, n.Key)
		} else {
			require.Equal(t, s.Notes[i].Key, n.Key)
		}
	}
	require.Nil(t, try(t, input(t, s, "parish-church", "minster"), finding.KindSoloNotApart, "octave-apart").Score)
}

// Hands that share a key have not crossed, and moving one of them off it is no crossing.
func TestASharedKeyIsNoCrossing(t *testing.T) {
	s := page(1, 72)
	write(s, 0, 0, 4*tpc, 1, "67")
	write(s, 1, 0, 4*tpc, 1, "67")
	c := caseOf(t, s, finding.KindHandReach)
	after := c.Score().Clone()
	after.Notes[0].Key += 12
	require.NoError(t, Sensible(c.Score(), after, c.Input.Organ, c.Performance.Assignments))
}
