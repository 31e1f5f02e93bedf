package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

// waltz is a bass on each first beat of three and its chord on the other two, the bass held for length crotchets.
func waltz(length float64, bars ...[]int) []score.Note {
	var out []score.Note
	for i, b := range bars {
		at := float64(3 * i)
		out = append(out, key(b[0], at, length))
		out = append(out, chordOf(at+1, 0.8, b[1:]...)...)
		out = append(out, chordOf(at+2, 0.8, b[1:]...)...)
	}
	return out
}

// The left hand of a waltz lets its basses go and the damper pedal keeps them: on the organ, give them to the pedal, held (common practice).
func TestBassesLetGo(t *testing.T) {
	bars := [][]int{{36, 55, 60, 64}, {38, 55, 59, 65}, {43, 62, 65, 71}, {36, 55, 60, 64}, {41, 60, 65, 69}, {36, 55, 60, 64}}
	tune := line{"Great", tune(0, 3, 76, 74, 77, 76, 81, 79)}
	find := func(room string, tempo float64, lines ...line) []Finding {
		return ThinFigure(hear(t, draw(play(t, "minster", page(tempo, lines...)), "mf"), room))
	}
	dry := find("chapel", 120, tune, line{"Great", waltz(1, bars...)})
	wellFormed(t, KindThinFigure, dry)
	require.Len(t, dry, 1, words(dry))
	require.Equal(t, Warning, dry[0].Severity)
	require.Equal(t, 6.0, dry[0].Measured["basses"])
	require.Less(t, dry[0].Measured["bass_share"], 0.5)
	require.LessOrEqual(t, dry[0].Measured["bass_share"], dry[0].Measured["bass_most_share"])

	// the drier the room, the less of them is left
	require.Less(t, find("practice-room", 120, tune, line{"Great", waltz(1, bars...)})[0].Measured["bass_share"], dry[0].Measured["bass_share"])
	require.Empty(t, words(find("cathedral", 180, tune, line{"Great", waltz(1, bars...)})), "held by the room")

	var held []score.Note
	for i, b := range bars {
		held = append(held, key(b[0], float64(3*i), 3))
	}
	require.Empty(t, words(find("chapel", 120, tune, line{"Great", waltz(1, bars...)}, line{"Pedal", held})), "the pedal holds them, too")
	within, root := [][]int{}, [][]int{}
	for _, b := range bars {
		within = append(within, []int{b[0] + 12, b[1], b[2]})
		root = append(root, []int{b[0], b[0] + 12, b[0] + 16, b[0] + 19})
	}
	require.Empty(t, words(find("chapel", 120, tune, line{"Great", waltz(3, within...)})), "within the hand, and held")
	require.Empty(t, words(find("chapel", 120, tune, line{"Great", waltz(1, root...)})), "the chord has its root")
	require.Empty(t, words(find("chapel", 120, tune, line{"Great", waltz(1, bars[:3]...)})), "three bars are no habit")
}
