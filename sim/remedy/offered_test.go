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
	require.Len(t, drafts, 1)
	require.Equal(t, []int{72, 79, 48, 50, 52, 53}, keysOf(drafts[0].Score), "the tune's octave above stays")
	require.Contains(t, drafts[0].What, "no stop that is drawn has that octave")
	mark(s, -1, 0, "fff") // with 16 ft
	require.Contains(t, DropDoublings(caseOf(t, s, finding.KindHandReach))[0].What, "16 has that octave")
}

// A run whose keys would be down for less than any touch is not detached.
func TestAQuickRunIsNotDetached(t *testing.T) {
	run := func(tempo float64) []Draft {
		s := page(1, tempo)
		write(s, 0, 0, tpc/2, 1, "60 62 60 62 60 62 60 62")
		return Detach(caseOf(t, s, finding.KindRunTogether))
	}
	require.Empty(t, run(220))
	require.NotEmpty(t, run(72))
}

// A bass that is held under the figure is no stroke of it.
func TestAHeldBassIsNotDetached(t *testing.T) {
	s := page(1, 72)
	write(s, 0, 0, 3*tpc, 1, "36")
	write(s, 0, tpc/2, tpc/2, 1, "43 48 52 48 43")
	drafts := Detach(caseOf(t, s, finding.KindRunTogether))
	require.NotEmpty(t, drafts)
	for _, d := range drafts {
		require.Equal(t, score.Tick(3*tpc), d.Score.Notes[0].Off)
	}
}

// Hands that both strike share their chords between them; a hand that has a tune has nothing to share with.
func TestOnlyAFreeHandShares(t *testing.T) {
	chords := func(right string, value score.Tick) *score.Score {
		s := page(1, 100)
		write(s, 0, 0, tpc/2, 1, "48+52+55 48+52+55 48+52+55 48+52+55")
		write(s, 1, 0, value, 1, right)
		return s
	}
	both := AlternateHands(caseOf(t, chords("60+64+67 60+64+67 60+64+67 60+64+67", tpc/2), finding.KindOpenArticulation))
	require.Len(t, both, 1)
	require.Equal(t, []int{60, 64, 67, 48, 52, 55, 60, 64, 67, 48, 52, 55}, keysOf(both[0].Score))
	require.Empty(t, AlternateHands(caseOf(t, chords("72 74", tpc), finding.KindRunTogether)))
}

// No stop is worth a bar of the music: a rest for it is written under what is held, not in the place of notes.
func TestARestTakesNoNotes(t *testing.T) {
	page := func(last string, value score.Tick) []Draft {
		s := page(4, 72)
		mark(s, -1, 0, "ff")
		mark(s, -1, 2*4*tpc, "p")
		write(s, 0, 0, 4*tpc, 1, "48+55+60+64")
		write(s, 0, 4*tpc, value, 1, last)
		write(s, 0, 2*4*tpc, 4*tpc, 1, "60+64 60+65")
		c := caseOf(t, s, finding.KindStopScramble)
		c.Finding.Bar, c.Finding.ToBar, c.Finding.Beat = 3, 3, 1
		return StopsRest(c)
	}
	held := page("48+55+60+64", 4*tpc)
	require.NotEmpty(t, held)
	for _, d := range held {
		require.Len(t, d.Score.Notes, 12)
	}
	require.Empty(t, page("60 62 64 65 67 69 71 72 60 62 64 65 67 69 71 72", tpc/4))
}

// The fingers hold what one hand can hold, to the end of the bar at most.
func TestAHandHoldsANinth(t *testing.T) {
	s := page(2, 72)
	write(s, 0, 0, tpc/2, 1, "36 43 48 52 55 60 64 60")
	write(s, 0, 4*tpc, tpc/2, 1, "36 43 48 52 55 60 64 60")
	drafts := HoldChord(caseOf(t, s, finding.KindThinFigure))
	require.Len(t, drafts, 1)
	held := drafts[0].Score
	for i, n := range held.Notes {
		low, high := n.Key, n.Key
		for _, m := range held.Notes[:i] {
			if m.Off > n.On {
				low, high = min(low, m.Key), max(high, m.Key)
			}
		}
		require.LessOrEqual(t, high-low, 14, "at %v", held.Position(n.On))
		bar := held.Bars[held.BarAt(n.On)]
		require.LessOrEqual(t, n.Off, bar.Start+bar.Length)
	}
	require.Equal(t, score.Tick(3*tpc/2), held.Notes[0].Off, "C2 until E3 takes the hand away")
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

// A tune that dips into its figure comes out of it by an octave; one that would go under it does not.
func TestATuneComesOutOfItsFigure(t *testing.T) {
	s := page(1, 72)
	write(s, 0, 0, tpc, 1, "71 62 74 76")
	write(s, 1, 0, tpc, 1, "60 64 60 64")
	c := caseOf(t, s, finding.KindHandReach)
	moved := func(part, by int) error {
		after := c.Score().Clone()
		for i := range after.Notes {
			if after.Notes[i].Part == part {
				after.Notes[i].Key += by
			}
		}
		return Sensible(c.Score(), after, c.Input.Organ, c.Performance.Assignments)
	}
	require.NoError(t, moved(1, -12))
	require.NoError(t, moved(0, 12))
	require.ErrorContains(t, moved(0, -12), "would cross")
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

// A tenth that a hand cannot hold has its bass in the pedal, where a pedal part rests, and not where the feet play already.
func TestATenthHasItsBassInThePedal(t *testing.T) {
	tenth := func(pedal string) []Draft {
		s := page(1, 72)
		write(s, 0, 0, 2*tpc, 1, "41+45+57+60 43+47+59+65")
		write(s, 2, 0, 2*tpc, 1, pedal)
		return BassToPedal(caseOf(t, s, finding.KindHandReach))
	}
	drafts := tenth(". 36")
	require.Len(t, drafts, 1)
	for _, n := range drafts[0].Score.Notes {
		require.Equal(t, n.Key == 41 || n.Key == 36, n.Part == 2, "%s", score.KeyName(n.Key))
	}
	require.Contains(t, drafts[0].What, "the pedal takes 1 bass that the hand cannot reach")
	require.Empty(t, tenth("36 36"))
}

// What lies beyond the keys comes an octave nearer: the note of a leaping bass alone, the whole of a line by steps, none of an octave whose
// other key is there, and to the pedal what a 16 ft stop sounds there (common practice).
func TestBeyondTheKeys(t *testing.T) {
	for _, x := range []struct {
		name  string
		part  int
		keys  string
		draft int
		want  []int
		says  string
	}{
		{"to the pedal", 1, "28 43 48 43", 0, []int{40, 43, 48, 43}, "the pedal takes 1 note below the keys an octave up"},
		{"a bass that leaps", 1, "28 43 48 43", 1, []int{40, 43, 48, 43}, "1 note beyond the keys moves an octave nearer"},
		{"an octave", 1, "28+40 43 33+45 43", 1, []int{40, 43, 45, 43}, "2 notes are left out whose octaves sound already"},
		{"a tune by steps", 0, "93 95 97 95", 0, []int{81, 83, 85, 83}, "The line in bar 1 moves an octave nearer, 4 notes of it"},
		{"from a stop an octave off", 0, "93 95 97 95", 2, []int{81, 83, 85, 83}, "from Principal 4 alone, at the pitch that is written"},
		{"at the pitch of a 16 ft stop", 2, "28 29 31 33 28 29 31 33", 0, []int{40, 41, 43, 45, 40, 41, 43, 45}, "is written an octave higher, as it is played"},
	} {
		t.Run(x.name, func(t *testing.T) {
			s := page(1, 72)
			mark(s, -1, 0, "mf")
			value := score.Tick(tpc)
			if x.part == 2 {
				value = tpc / 2
			}
			write(s, x.part, 0, value, 1, x.keys)
			if x.part != 2 {
				s.Parts[1].Name = "Choir"
			}
			in := input(t, s, "parish-church", "village")
			perf, err := performance.Build(in.Score, in.Organ, in.Player)
			require.NoError(t, err)
			f := finding.Finding{Kind: finding.KindOffCompass, Bar: 1, ToBar: 1}
			for _, n := range s.Notes {
				f.Notes = append(f.Notes, n.ID)
			}
			drafts := OctaveNearer(newCase(in, perf, f))
			require.Greater(t, len(drafts), x.draft)
			require.Contains(t, drafts[x.draft].What, x.says)
			require.Contains(t, drafts[x.draft].What, "It costs")
			require.NoError(t, Sensible(s, drafts[x.draft].Score, in.Organ, perf.Assignments))
			keys := keysOf(drafts[x.draft].Score)
			require.ElementsMatch(t, x.want, keys)
		})
	}
	s := page(1, 72)
	write(s, 0, 0, tpc, 1, "60 62 64 65")
	require.Empty(t, OctaveNearer(caseOf(t, s, finding.KindOffCompass)), "within the keys there is nothing to bring nearer")
}
