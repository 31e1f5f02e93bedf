package finding

import (
	"encoding/json"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestTheProgramCarriesNorms(t *testing.T) {
	n := Repertoire()
	assert.GreaterOrEqual(t, len(n.Works), 10, "made from too few works")
	assert.Greater(t, n.Bars, 1000)
	assert.LessOrEqual(t, n.RTs[0], 0.5)
	assert.GreaterOrEqual(t, n.RTs[len(n.RTs)-1], 8.0)
	for _, s := range n.Piece.Shares {
		assert.True(t, 0 <= s[0] && s[0] <= s[1] && s[1] <= s[2] && s[2] <= 1, "%v", s)
	}
}

// The more there is of it, the rarer; and the longer the room rings, the more usual a blur is.
func TestRarity(t *testing.T) {
	n := Repertoire()
	for _, m := range Measures {
		t.Run(string(m), func(t *testing.T) {
			for _, rt := range []float64{0.3, 0.5, 0.8, 1.6, 2.8, 7, 12} {
				t.Run(fmt.Sprint(rt), func(t *testing.T) {
					last := 1.0
					for v := 0.0; v < 12; v += 0.05 {
						r := n.Rarity(m, Setting{RT: rt, Organ: "of somebody's own"}, v)
						require.True(t, 0 < r && r <= last, "%g s, %g: %g after %g", rt, v, r, last)
						last = r
					}
					assert.Equal(t, 1.0, n.Rarity(m, Setting{RT: rt}, 0))
				})
			}
		})
	}
	blur := func(rt float64) float64 { return n.Rarity(MeasureBlur, Setting{RT: rt}, 0.5) }
	assert.LessOrEqual(t, blur(1), blur(3))
	assert.LessOrEqual(t, blur(3), blur(7))
}

func TestNormsOfAnotherShapeAreRefused(t *testing.T) {
	var n Norms
	require.NoError(t, json.Unmarshal(normsFile, &n))
	n.Bar[MeasureBlur] = n.Bar[MeasureBlur][1:]
	short, err := json.Marshal(n)
	require.NoError(t, err)
	_, err = ParseNorms(short)
	require.ErrorContains(t, err, string(MeasureBlur))
	_, err = ParseNorms([]byte("{"))
	require.Error(t, err)
}

// The ear's order of intervals: a semitone disturbs most; fifth and octave less than third and tone (Plomp & Levelt 1965, from memory).
func TestDisturbances(t *testing.T) {
	d := disturbances()
	assert.Equal(t, 1.0, d[1])
	for _, mild := range []int{7, 12, 24} {
		for _, harsh := range []int{1, 2, 11} {
			assert.Less(t, d[mild], d[harsh], "%d against %d semitones", mild, harsh)
		}
	}
	assert.Less(t, d[0], 0.05, "a unison")
}

// What a change does depends on the time over the reverberation time: half the tempo is half the room.
func TestBlurredShare(t *testing.T) {
	b := []HarmonyBlur{{BlurS: 0.2, LengthS: 1}, {BlurS: 0.4, LengthS: 1}, {BlurS: 3, LengthS: 1}, {LengthS: 2}}
	assert.Equal(t, 0.5, BlurredShare(b, 0.25, 1, 1))
	assert.Equal(t, BlurredShare(b, 0.25, 0.5, 1), BlurredShare(b, 0.25, 1, 0.5))
	assert.Equal(t, 0.75, BlurredShare(b, 0.25, 2, 1))
	assert.Equal(t, 1.0, b[2].Part(1, 1))
	assert.Zero(t, BlurredShare(nil, 0.25, 1, 1))
}
