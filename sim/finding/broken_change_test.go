package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// arpeggios go up and down through two octaves, one chord a bar.
func arpeggios(bars int, chords ...[]int) line {
	l := line{name: "Great"}
	for b := range bars {
		keys := chords[b%len(chords)]
		for i := range 8 {
			k := keys[min(i%8, 8-i%8)%len(keys)]
			l.notes = append(l.notes, key(k, 4*float64(b)+0.5*float64(i), 0.5))
		}
	}
	return l
}

var (
	wideC = []int{48, 55, 60, 64, 67} // five keys, three pitch classes
	wideD = []int{50, 57, 62, 66, 69}
)

// A broken chord through two octaves is one, however many keys it has; in a dry room nothing sustains it, and what another part holds of
// its harmony does.
func TestABrokenChordThroughOctaves(t *testing.T) {
	alone := hear(t, draw(play(t, "minster", page(120, arpeggios(4, wideC, wideD))), "mf"), "practice-room")
	thin := ThinFigure(alone)
	require.NotEmpty(t, thin)
	assert.Equal(t, 5.0, thin[0].Measured["chord_keys"])
	assert.GreaterOrEqual(t, thin[0].Measured["complete_most_share"], thin[0].Measured["complete_share"])
	held := line{name: "Swell"}
	for b := range 4 {
		root := []int{60, 62}[b%2]
		held.notes = append(held.notes, chordOf(4*float64(b), 4, root, root+4, root+7)...)
	}
	assert.Empty(t, ThinFigure(hear(t, draw(play(t, "minster", page(120, arpeggios(4, wideC, wideD), held)), "mf"), "practice-room")))
}

// From one broken chord to the next the harmony changes, though no key is down with another; the longer the room rings the longer the old one is
// heard, and where the chord stays nothing changes.
func TestBrokenChordsChange(t *testing.T) {
	last := 0.0
	for _, name := range []string{"chapel", "parish-church", "cathedral"} {
		c := hear(t, draw(play(t, "minster", page(120, arpeggios(4, wideC, wideD))), "mf"), name)
		blurs := HarmonyBlurs(c)
		require.Len(t, blurs, 3, name)
		assert.InDelta(t, 2, blurs[0].AtS, 0.01)
		assert.InDelta(t, 2, blurs[0].LengthS, 0.1)
		assert.GreaterOrEqual(t, blurs[0].BlurS, last, name)
		last = blurs[0].BlurS
	}
	assert.Positive(t, last)
	same := hear(t, draw(play(t, "minster", page(120, arpeggios(4, wideC))), "mf"), "cathedral")
	assert.Empty(t, HarmonyBlurs(same))
}
