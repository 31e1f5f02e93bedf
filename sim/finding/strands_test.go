package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

// A tune and its figure on one staff, as a piano score has them: told apart by the file's voices, or by how they lie.
func TestTuneAndFigureOnOneStaff(t *testing.T) {
	melody := append(tune(0, 2, 76, 79, 76, 74, 77, 76, 74, 72), key(72, 16, 2))
	var figure []score.Note
	for i := range 36 {
		figure = append(figure, key([4]int{60, 64, 67, 64}[i%4], float64(i)/2, 0.5))
	}
	staff := func(voices bool) line {
		l := line{name: "Great"}
		for i, n := range append(append([]score.Note{}, melody...), figure...) {
			if voices {
				n.Voice = 1
				if i >= len(melody) {
					n.Voice = 2
				}
			}
			l.notes = append(l.notes, n)
		}
		return l
	}
	bass := line{"Left hand", append(tune(0, 4, 48, 48, 48, 48), key(48, 16, 2))}
	for _, voices := range [2]bool{true, false} {
		c := hear(t, draw(play(t, "village", page(80, staff(voices), bass)), "mf"), "chapel")
		require.Len(t, SoloNotApart(c), 1, "voices in the file: %v", voices)
	}
	// chords that move together are no solo
	var hymn []score.Note
	for i, k := range []int{72, 74, 76, 77, 76, 74, 72, 71, 72} {
		hymn = append(hymn, chordOf(float64(i*2), 2, k-12, k-8, k)...)
	}
	require.Empty(t, words(SoloNotApart(hear(t, draw(play(t, "village", page(80, line{"Great", hymn}, bass)), "mf"), "chapel"))))
}

// A tenor tune under chords that come after the beat.
func TestTuneUnderAfterbeats(t *testing.T) {
	var chords []score.Note
	for i := range 16 {
		chords = append(chords, chordOf(float64(i)+0.5, 0.5, 67, 72, 76)...)
	}
	tenor := tune(0, 1, 60, 62, 64, 65, 67, 65, 64, 62, 60, 62, 64, 62, 60, 59, 57, 60)
	require.Len(t, SoloNotApart(hear(t, draw(play(t, "village", page(72, line{"Right hand", chords}, line{"Left hand", tenor})), "mf"), "chapel")), 1)
}

// One broken chord to the bar, up and down over both staves: nothing holds it. With its bass and fifth held it is held.
func TestBrokenChordOverBothHands(t *testing.T) {
	var left, right, bass []score.Note
	for bar, c := range [][3]int{{48, 52, 55}, {45, 48, 52}, {41, 45, 48}, {43, 47, 50}} {
		at := float64(bar * 4)
		left = append(left, tune(at, 0.5, c[0], c[2], c[1]+12)...)
		right = append(right, tune(at+1.5, 0.5, c[0]+24, c[2]+12, c[1]+24, c[2]+12, c[0]+24)...)
		bass = append(bass, chordOf(at, 4, c[0], c[2])...)
	}
	find := func(lines ...line) []Finding {
		return ThinFigure(hear(t, draw(play(t, "minster", page(60, lines...)), "p"), "chapel"))
	}
	require.NotEmpty(t, find(line{"Right hand", right}, line{"Left hand", left}))
	require.Empty(t, words(find(line{"Right hand", right}, line{"Left hand", left}, line{"Pedal", bass})))
}

// Both hands on the same keys of one manual: a key sounds its pipes once (common practice). On two manuals they are two sounds.
func TestSameKeysInBothHands(t *testing.T) {
	var right []score.Note
	for i, k := range []int{60, 62, 64, 62, 60, 62, 64, 62, 60} {
		right = append(right, chordOf(float64(i), 1, k, k+4, k+7)...)
	}
	left := tune(0, 1, 60, 62, 64, 62, 60, 62, 64, 62, 60)
	one := DoubledInVain(play(t, "minster", page(80, line{"Great", right}, line{"Left hand", left})))
	wellFormed(t, KindDoubledInVain, one)
	require.Len(t, one, 1)
	require.Equal(t, 9, one[0].Count)
	require.Contains(t, one[0].Message, "same keys of the Great")
	require.Empty(t, words(DoubledInVain(play(t, "minster", page(80, line{"Great", right}, line{"Choir", left})))))
	require.Empty(t, words(DoubledInVain(play(t, "minster", page(80, line{"Great", right}, line{"Left hand", tune(0, 1, 48, 50, 52, 50, 48, 62, 64, 50, 48)})))), "two that meet")
}
