package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Onsets less than 20 ms apart are not told one from the other (Hirsh 1959): however rare, they are no finding. What is said to be late lies
// beyond that at the favourable end, too.
func TestLateSpeechIsWhatCanBeTold(t *testing.T) {
	for _, organ := range []string{"village", "minster"} {
		for _, mark := range []string{"p", "mf", "ff"} {
			leaps := page(100, line{"Great", tune(0, 0.25, 36, 72, 36, 72, 43, 79, 43, 79, 36, 72, 36, 72)})
			for _, f := range LateSpeech(hear(t, draw(play(t, organ, leaps), mark), "chapel")) {
				if least, ok := f.Measured["shift_least_ms"]; ok {
					assert.GreaterOrEqual(t, least, 20.0, "%s at %s", organ, mark)
					assert.GreaterOrEqual(t, f.Measured["shift_ms"], least)
				}
			}
		}
	}
}
