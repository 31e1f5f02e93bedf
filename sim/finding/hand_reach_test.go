package finding

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

// Stretches: an octave comfortable, a ninth usual, a tenth for large hands; a thumb may bridge two
// neighbouring manuals for some three notes in all (common practice, no publication).
func TestHandReach(t *testing.T) {
	solo := line{"Swell", tune(0, 1, 72, 74, 76, 77)}
	cases := []struct {
		name  string
		organ string
		lines []line
		want  string
		fail  bool
	}{
		{"two hands, four voices", "village", []line{{"Great", chordOf(0, 4, 48, 60, 64, 67)}}, "", false},
		{"left hand a ninth", "village", []line{{"Great", chordOf(0, 4, 48, 62, 72, 76)}}, "", false},
		{"no hand holds two of three so far apart", "village", []line{{"Great", chordOf(0, 4, 40, 62, 84)}}, "has to hold", true},
		{"six keys a hand", "village", []line{{"Great", chordOf(0, 4, 36, 40, 43, 45, 47, 48, 50, 76, 79, 81, 83, 84, 86, 88)}}, "five fingers", true},
		{"solo and a close accompaniment", "village", []line{solo, {"Great", chordOf(0, 4, 55, 60, 64)}}, "", false},
		{"solo and a wide accompaniment", "village", []line{solo, {"Great", chordOf(0, 4, 43, 52, 60, 64)}}, "", true},
		{"thumb bridges one note", "village", []line{{"Swell", append(tune(0, 4, 76), chordOf(0, 4, 48, 52)...)}, {"Great", chordOf(0, 4, 67)}}, "", false},
	}
	for _, x := range cases {
		t.Run(x.name, func(t *testing.T) {
			got := HandReach(play(t, x.organ, page(60, x.lines...)))
			wellFormed(t, KindHandReach, got)
			if x.want == "" && !x.fail {
				for _, f := range got {
					require.Equal(t, Notice, f.Severity, f.Message)
				}
				return
			}
			require.NotEmpty(t, got)
			require.Contains(t, strings.Join(words(got), "\n"), x.want)
			require.Equal(t, x.fail, slices.Contains(severities(got), Fail), words(got))
		})
	}
}

func TestHandLeap(t *testing.T) {
	// the right hand is held by the top chord, so the left one leaps alone
	high := chordOf(0, 4, 79, 84, 88, 91)
	slow := append(slices.Clone(high), tune(0, 1, 36, 60, 36, 60)...)
	quick := append(slices.Clone(high), tune(0, 0.125, 36, 62, 36, 62, 36, 62, 36, 62)...)
	require.Empty(t, words(HandReach(play(t, "village", page(60, line{"Great", slow})))))
	got := HandReach(play(t, "village", page(120, line{"Great", quick})))
	require.NotEmpty(t, got)
	require.Contains(t, got[0].Message, "left hand must move")
	require.Less(t, got[0].Measured["has_s"], got[0].Measured["needs_s"])
}

func TestHandsShareOneStaff(t *testing.T) {
	c := play(t, "village", page(60, line{"Great", append(chordOf(0, 4, 48, 55), tune(0, 1, 72, 74, 76, 77)...)}))
	hands := c.handOf()
	for i, n := range c.Performance.Notes {
		want := int8(0)
		if n.Key >= 72 {
			want = 1
		}
		require.Equal(t, want, hands[i], "key %d", n.Key)
	}
}

func TestHandChangesManual(t *testing.T) {
	// the left hand holds; the right one goes to and fro between two manuals
	there := func(each float64) []Finding {
		var great, swell []score.Note
		great = append(great, chordOf(0, 8*each, 43, 50, 53, 55)...)
		for i := range 8 {
			n := key(72+i%3, float64(i)*each, each*0.9)
			if i%2 == 0 {
				great = append(great, n)
			} else {
				swell = append(swell, n)
			}
		}
		return HandReach(play(t, "village", page(60, line{"Great", great}, line{"Swell", swell})))
	}
	require.Empty(t, words(there(1)))
	got := there(0.125)
	require.NotEmpty(t, got)
	require.Contains(t, got[0].Message, "change to the")
}
