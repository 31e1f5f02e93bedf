package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Less than 20 ms is not noticed among notes of this length (Clarke 1989): however rare, it is no finding. What is said to be late lies
// beyond that at the favourable end, too, and what weakens a rhythm beyond 50 ms, which it takes in music that breathes (Clarke 1989, from memory).
func TestLateSpeechIsWhatCanBeTold(t *testing.T) {
	for _, organ := range []string{"village", "minster"} {
		for _, mark := range []string{"p", "mf", "ff"} {
			leaps := page(100, line{"Great", tune(0, 0.25, 36, 72, 36, 72, 43, 79, 43, 79, 36, 72, 36, 72)})
			for _, f := range LateSpeech(hear(t, draw(play(t, organ, leaps), mark), "chapel")) {
				if least, ok := f.Measured["shift_least_ms"]; ok {
					assert.GreaterOrEqual(t, least, 20.0, "%s at %s", organ, mark)
					assert.GreaterOrEqual(t, f.Measured["shift_ms"], least)
					assert.True(t, f.Severity == Notice || least >= 50, f.Message)
				}
			}
		}
	}
}
