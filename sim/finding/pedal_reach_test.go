package finding

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

func octaves(on, each, length float64, lows ...int) []score.Note {
	var out []score.Note
	for i, k := range lows {
		out = append(out, chordOf(on+float64(i)*each, length, k, k+12)...)
	}
	return out
}

// The facts are common practice (the trade's own, no publication): a leap of more than about a
// third in octaves with both feet cannot be legato; two feet play two notes, more only with heel and
// toe; alternating toes play quick lines.
func TestPedalReach(t *testing.T) {
	cases := []struct {
		name  string
		tempo float64
		notes []score.Note
		want  string // in the message; "" for no finding
		fail  bool
	}{
		{"octaves joined over a fifth", 60, octaves(0, 1, 1, 36, 43), "Both feet leap a fifth", false},
		{"octaves joined over a second", 60, octaves(0, 1, 1, 36, 38), "", false},
		{"octaves joined over a third", 60, octaves(0, 1, 1, 36, 40), "", false},
		{"octaves over a fifth, detached", 60, octaves(0, 1, 0.7, 36, 43), "", false},
		{"one voice joined over a fifth", 60, tune(0, 1, 36, 43, 36, 43), "", false},
		{"three keys, two a third apart", 60, chordOf(0, 2, 36, 48, 52), "3 pedal keys", false},
		{"three keys an octave apart", 60, chordOf(0, 2, 36, 48, 60), "want 3 feet", true},
		{"two keys", 60, chordOf(0, 2, 36, 48), "", false},
		{"scale in semiquavers at 120", 120, tune(0, 0.25, 36, 38, 40, 41, 43, 45, 47, 48, 50, 52, 53, 52, 50, 48, 47, 45), "", false},
		{"scale in demisemiquavers at 120", 120, tune(0, 0.125, 36, 38, 40, 41, 43, 45, 47, 48, 50, 52, 53, 52), "run at 16.0 a second", true},
		{"octave tremolo by two feet", 120, tune(0, 0.25, 36, 48, 36, 48, 36, 48, 36, 48), "", false},
		{"moving voice leaps while a foot holds", 120, append([]score.Note{key(36, 0, 4)}, tune(0, 0.25, 48, 60, 48, 60, 48, 60, 48, 60)...), "foot must leap an octave", false},
		{"moving voice steps while a foot holds", 60, append([]score.Note{key(36, 0, 4)}, tune(0, 1, 48, 50, 52, 50)...), "", false},
	}
	for _, x := range cases {
		t.Run(x.name, func(t *testing.T) {
			c := play(t, "minster", page(x.tempo, line{"Pedal", x.notes}))
			got := PedalReach(c)
			wellFormed(t, KindPedalReach, got)
			if x.want == "" {
				require.Empty(t, words(got))
				return
			}
			require.NotEmpty(t, got)
			require.Contains(t, strings.Join(words(got), "\n"), x.want)
			if x.fail {
				require.Contains(t, severities(got), Fail)
			}
		})
	}
}

func TestVerdictNamesTheFoot(t *testing.T) {
	// the left foot holds C2, so it is the right one that leaps
	c := play(t, "minster", page(120, line{"Pedal", append([]score.Note{key(36, 0, 4)}, tune(0, 0.25, 48, 60, 48, 60)...)}))
	got := PedalReach(c)
	require.NotEmpty(t, got)
	for _, f := range got {
		require.Contains(t, f.Message, "right foot")
		require.Less(t, f.Measured["has_s"], f.Measured["needs_s"])
		require.InDelta(t, 0.42, f.Measured["leap_m"], 0.001) // seven naturals
	}
}

func TestPedalboardWidth(t *testing.T) {
	// common practice: 30 keys, C2 to F4, about 1.05 m; F4 is the 18th natural
	require.InDelta(t, 1.05, pedalX(65)-pedalX(36)+naturalM/2, 0.001)
	require.InDelta(t, 0.42, pedalX(48)-pedalX(36), 1e-9)
	for k := 36; k < 67; k++ {
		require.Less(t, pedalX(k), pedalX(k+1))
	}
}

func TestFootworkAlternatesAndUsesNoHeelOnSharps(t *testing.T) {
	c := play(t, "minster", page(120, line{"Pedal", tune(0, 0.25, 36, 38, 40, 42, 44, 46, 48, 50)}))
	feet, _ := c.limbsOf()
	treads := c.footwork(c.moments(feet), either)
	require.Len(t, treads, 8)
	changes := 0
	for i, x := range treads {
		require.False(t, x.heel && sharp(c.note(x.note).Key))
		if i > 0 && x.foot != treads[i-1].foot {
			changes++
		}
	}
	require.GreaterOrEqual(t, changes, 3)
}
