package remedy

import (
	"fmt"
	"testing"

	"afterchord/sim/finding"

	"github.com/stretchr/testify/require"

	"afterchord/sim/performance"
	"afterchord/sim/score"
)

// wandering is a page long enough to be proved in excerpts: the right hand plays chords on the Great, then from bar 9
// a solo on the Swell over the left hand's chords, then from bar 17 chords on the Great again.
func wandering() *score.Score {
	s := page(24, 80)
	s.Parts = []score.Part{{Name: "right hand", Track: 2, Channel: 1}, {Name: "Great", Track: 3, Channel: 2}, {Name: "Pedal", Track: 4, Channel: 3}}
	over := func(bar score.Tick, text string) {
		s.Words = append(s.Words, score.Word{At: (bar - 1) * 4 * tpc, Part: 0, Kind: score.Direction, Text: text})
	}
	over(1, "Gt.")
	over(9, "Sw.")
	over(17, "Gt.")
	mark(s, 0, 0, "p")
	mark(s, 1, 0, "mf")
	for bar := score.Tick(0); bar < 24; bar++ {
		write(s, 1, bar*4*tpc, 2*tpc, 1, "55+60+64 55+60+65")
		if bar < 8 || bar >= 16 {
			write(s, 0, bar*4*tpc, 2*tpc, 1, "67+72+76 69+72+77")
		} else {
			write(s, 0, bar*4*tpc, tpc, 1, "67 69 71 72")
		}
	}
	return s
}

func TestASoloOnTheManualThatItIsOn(t *testing.T) {
	in := input(t, wandering(), "parish-church", "minster")
	fs := findingsOf(t, in, finding.KindMaskedSolo)
	require.NotEmpty(t, fs, "the solo in the middle is not looked at")
	for _, f := range fs {
		require.Equal(t, "Swell", f.Division)
		require.GreaterOrEqual(t, f.Bar, 9)
		require.LessOrEqual(t, f.ToBar, 16)
	}
	perf, err := performance.Build(in.Score, in.Organ, in.Player)
	require.NoError(t, err)
	c := newCase(in, perf, fs[0])
	require.Equal(t, "Swell", c.divisionName(0), "the remedies look at the Great, where the hand begins")
	require.Equal(t, "Great", c.divisionName(1))
	for _, d := range SoloOnReed(c) {
		require.Contains(t, d.What, "drawn on the Swell")
	}
	require.NotEmpty(t, SoloOnReed(c))
	// the opposite: without the words both hands are on the Great, and nobody has a solo
	s := wandering()
	s.Words = s.Words[3:]
	s.Parts[0].Name = "Great 2"
	require.Empty(t, findingsOf(t, input(t, s, "parish-church", "minster"), finding.KindMaskedSolo))
}

func TestExcerptsKeepTheManuals(t *testing.T) {
	in := input(t, wandering(), "parish-church", "minster")
	whole, err := performance.Build(in.Score, in.Organ, in.Player)
	require.NoError(t, err)
	was := map[int]int{}
	for _, n := range whole.Notes {
		was[in.Score.Notes[n.Score].ID] = n.Division
	}
	for _, bars := range [][2]int{{0, 8}, {4, 12}, {9, 15}, {10, 20}, {18, 24}} {
		t.Run(fmt.Sprint(bars), func(t *testing.T) {
			cut, err := excerpt(in, played{}, in.Score.Bars[bars[0]].Start, in.Score.Bars[bars[1]-1].Start+4*tpc)
			require.NoError(t, err)
			perf, err := performance.Build(cut.Score, cut.Organ, cut.Player)
			require.NoError(t, err)
			for _, n := range perf.Notes {
				x := cut.Score.Notes[n.Score]
				require.Equal(t, was[x.ID], n.Division, "bars %v: %s at %v", bars, score.KeyName(x.Key), cut.Score.Position(x.On))
			}
		})
	}
}
