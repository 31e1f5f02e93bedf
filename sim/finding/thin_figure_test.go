package finding

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

// alberti breaks chords of three over n bars in quavers.
func alberti(chords ...[3]int) []score.Note {
	var out []score.Note
	for i, c := range chords {
		for j, k := range [8]int{0, 2, 1, 2, 0, 2, 1, 2} {
			out = append(out, key(c[k], float64(i*4)+float64(j)/2, 0.5))
		}
	}
	return out
}

// Broken chords sound thin: the organ has no sustaining pedal; hold the chord, in the hand or the pedal
// (common practice). A long reverberation holds it too.
func TestThinFigure(t *testing.T) {
	figure := line{"Great", alberti([3]int{48, 52, 55}, [3]int{47, 50, 55}, [3]int{48, 52, 57})}
	held := line{"Great", append(chordOf(0, 4, 48, 52, 55), append(chordOf(4, 4, 47, 50, 55), chordOf(8, 4, 48, 52, 57)...)...)}
	scale := line{"Great", tune(0, 0.5, 60, 62, 64, 65, 67, 69, 71, 72, 71, 69, 67, 65, 64, 62, 60, 62, 64, 65, 67, 69)}
	find := func(room string, tempo float64, lines ...line) []Finding {
		return ThinFigure(hear(t, draw(play(t, "village", page(tempo, lines...)), "mf"), room))
	}
	dry := find("practice-room", 80, figure)
	wellFormed(t, KindThinFigure, dry)
	require.NotEmpty(t, dry)
	require.Less(t, dry[0].Measured["complete_share"], 0.6)
	require.Less(t, dry[0].Measured["loudness_share"], 0.75)

	require.Empty(t, words(find("practice-room", 80, held)), "the chord held")
	require.Empty(t, words(find("practice-room", 80, scale)), "a scale")
	require.Empty(t, words(find("practice-room", 80, figure, line{"Swell", held.notes})), "held by the other hand")
	for _, f := range find("cathedral", 160, figure) { // held by the room: a remark that it is the room alone
		require.Equal(t, Notice, f.Severity)
		require.Contains(t, f.Message, "nothing that sustains it but the room")
	}
	// a figure that keeps its harmony for bars is no flourish
	require.NotEmpty(t, words(find("practice-room", 80, line{"Great", alberti([3]int{48, 52, 55}, [3]int{48, 52, 55}, [3]int{48, 52, 55})})))
}

// A tune of the notes of its chords is no broken chord where another part strikes these chords under it, however detached.
func TestATuneOverItsChords(t *testing.T) {
	var tune, chords, sparse []score.Note
	for i, c := range [][3]int{{60, 64, 67}, {59, 62, 67}, {60, 65, 69}, {60, 64, 67}} {
		for j, k := range [8]int{2, 1, 2, 0, 1, 2, 1, 0} {
			tune = append(tune, key(c[k]+12, float64(i*4)+float64(j)/2, 0.45))
			chords = append(chords, chordOf(float64(i*4)+float64(j)/2, 0.2, c[:]...)...)
		}
		sparse = append(sparse, chordOf(float64(i*4), 0.2, c[:]...)...)
	}
	find := func(under []score.Note) []Finding {
		return ThinFigure(hear(t, draw(play(t, "minster", page(100, line{"Great", tune}, line{"Swell", under})), "mf"), "practice-room"))
	}
	require.NotEmpty(t, find(sparse), "a chord a bar, struck and let go, carries nothing")
	require.Empty(t, words(find(chords)))
}

// Two voices in thirds, rocking as a pastorale does, are neither a solo nor its accompaniment; a tune over the same figure is.
func TestVoicesHandInHand(t *testing.T) {
	var upper, lower, slow []score.Note
	for i := range 24 {
		for j, k := range [2]int{67, 72} {
			upper = append(upper, key(k+4, float64(i*2+j), 0.9))
			lower = append(lower, key(k, float64(i*2+j), 0.9))
		}
		slow = append(slow, key(76+i%5, float64(i*2), 1.9))
	}
	find := func(top []score.Note) []Finding {
		return SoloNotApart(hear(t, draw(play(t, "minster", page(100, line{"Great upper", top}, line{"Great lower", lower})), "mf"), "chapel"))
	}
	require.Empty(t, words(find(upper)))
	require.NotEmpty(t, find(slow))
}

// Staccato, half its value (common practice), is no chord that wants to be held.
func TestAPointedFigureIsNotThin(t *testing.T) {
	figure := alberti([3]int{72, 76, 79}, [3]int{71, 74, 79}, [3]int{72, 76, 81})
	short := slices.Clone(figure)
	for i := range short {
		short[i].Off = short[i].On + (short[i].Off-short[i].On)/2
	}
	find := func(notes []score.Note) []Finding {
		return ThinFigure(hear(t, draw(play(t, "minster", page(120, line{"Great", notes})), "mf"), "practice-room"))
	}
	require.NotEmpty(t, find(figure))
	require.Empty(t, words(find(short)))
}
