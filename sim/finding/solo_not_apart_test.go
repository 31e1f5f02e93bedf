package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

// A tune over a figure in triplets that goes through both hands cannot go to a manual of its own, since its hand has a part of the figure; the
// top of chords that both hands strike together is no tune over them (common practice).
func TestATuneWithAFigureInItsHand(t *testing.T) {
	var right, left, tops, inner []score.Note
	for i, c := range [][4]int{{43, 59, 62, 67}, {49, 58, 64, 67}, {50, 57, 62, 66}, {54, 57, 60, 66}, {43, 59, 62, 67}, {48, 60, 64, 67}, {50, 60, 66, 69}, {43, 59, 62, 67}} {
		at := float64(i)
		right = append(right, key([]int{74, 81, 79, 76, 74, 79, 76, 74}[i], at, 1), key(c[3], at+2./3, 1./3))
		left = append(left, key(c[0], at, 0.5), key(c[1], at, 1./3), key(c[2], at+1./3, 1./3))
		tops = append(tops, chordOf(at, 0.8, c[2], c[3], 74)...)
		inner = append(inner, chordOf(at, 0.8, c[0], c[1])...)
	}
	find := func(a, b []score.Note) []Finding {
		return SoloNotApart(hear(t, draw(play(t, "minster", page(72, line{"R.H.", twice(a, 8)}, line{"L.H.", twice(b, 8)})), "mf"), "chapel"))
	}
	found := find(right, left)
	require.Len(t, found, 1)
	require.Equal(t, Warning, found[0].Severity)
	require.Contains(t, found[0].Try[0], "the other hand")
	require.Empty(t, words(find(tops, inner)))
}

// twice is a line and the line again, so many crotchets later.
func twice(notes []score.Note, later float64) []score.Note {
	out := notes
	for _, n := range notes {
		n.On, n.Off = n.On+score.Tick(later*crotchet), n.Off+score.Tick(later*crotchet)
		out = append(out, n)
	}
	return out
}
