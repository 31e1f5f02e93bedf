package piece

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/score/smf"
)

func TestPieceIsWhatWasAskedFor(t *testing.T) {
	for _, voices := range []int{1, 2, 4, 20} {
		t.Run(fmt.Sprint(voices), func(t *testing.T) {
			data := SMF(Options{Seed: 1, Seconds: 120, Voices: voices})
			assert.Equal(t, data, SMF(Options{Seed: 1, Seconds: 120, Voices: voices}))
			s, err := smf.Read(data, "piece.mid")
			require.NoError(t, err)
			assert.InDelta(t, 120, s.Seconds(s.End), 0.5)
			assert.GreaterOrEqual(t, len(s.Parts), voices)
		})
	}
}
