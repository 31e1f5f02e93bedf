package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

// Usual compasses (common practice): manuals C2 to G6 or C7, pedals C2 to F4 or G4. The village
// organ ends at G6 and F4, the minster at C7 and G4.
func TestOffCompass(t *testing.T) {
	cases := []struct {
		name, organ, part string
		notes             []score.Note
		want              string
	}{
		{"top note of a 56-key manual", "village", "Great", tune(0, 1, 91), ""},
		{"one above it", "village", "Great", tune(0, 1, 92), "Ab6 lies a semitone above"},
		{"the same on 61 keys", "minster", "Great", tune(0, 1, 92), ""},
		{"a piano's bottom A", "minster", "Great", tune(0, 1, 21), "A0 lies a minor tenth below"},
		{"pedal top", "village", "Pedal", tune(0, 1, 65), ""},
		{"pedal too high", "village", "Pedal", tune(0, 1, 67), "above the last key of the Pedal"},
		{"pedal too low", "village", "Pedal", tune(0, 1, 35, 36, 38), "B1 lies a semitone below"},
		{"pedal at 16 ft pitch", "village", "Pedal", tune(0, 1, 28, 30, 31, 33, 35, 36, 38), "5 notes of Pedal lie below"},
	}
	for _, x := range cases {
		t.Run(x.name, func(t *testing.T) {
			got := OffCompass(play(t, x.organ, page(60, line{x.part, x.notes})))
			wellFormed(t, KindOffCompass, got)
			if x.want == "" {
				require.Empty(t, words(got))
				return
			}
			require.Len(t, got, 1)
			require.Equal(t, Fail, got[0].Severity)
			require.Contains(t, got[0].Message, x.want)
		})
	}
}
