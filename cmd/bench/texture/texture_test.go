package texture

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/score/smf"
)

func TestTexturesAreWhatTheySay(t *testing.T) {
	rates := map[string][2]float64{ // keys a second
		"chorale": {4, 7}, "single line": {5, 5.5}, "fugue in semiquavers": {21, 22}, "line of 16 notes/s": {16, 16},
		"64th notes": {32, 33}, "glissando": {24, 25}, "French toccata": {20, 30},
	}
	for _, x := range Textures {
		data := x.SMF(1, 60)
		assert.Equal(t, data, x.SMF(1, 60), x.Name)
		s, err := smf.Read(data, "piece.mid")
		require.NoError(t, err, x.Name)
		assert.InDelta(t, 60, s.Seconds(s.End), 1, x.Name)
		if r, ok := rates[x.Name]; ok {
			rate := float64(len(s.Notes)) / 60
			assert.GreaterOrEqual(t, rate, r[0], x.Name)
			assert.LessOrEqual(t, rate, r[1]+0.1, x.Name)
		}
	}
}
