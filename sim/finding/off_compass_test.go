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
		{"pedal too high", "village", "Pedal", tune(0, 1, 67), "above the highest key of the Pedal"},
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

// A note below the pedals is played an octave higher, and a part at the pitch of a 16 ft stop wholly so (common practice).
func TestBelowThePedals(t *testing.T) {
	cases := []struct {
		name string
		keys []int
		play []int
		want string
	}{
		{"one note", []int{35, 36, 38}, []int{47, 36, 38}, "B1 lies a semitone below the lowest key of the Pedal, which goes from C2 to F4: it is played an octave higher, at B2"},
		{"at 16 ft pitch", []int{28, 30, 31, 33, 35, 36, 38}, []int{40, 42, 43, 45, 47, 48, 50}, "5 notes of Pedal lie below the lowest key of the Pedal (C2)"},
	}
	for _, x := range cases {
		t.Run(x.name, func(t *testing.T) {
			c := play(t, "village", page(60, line{"Pedal", tune(0, 1, x.keys...)}))
			var played []int
			for _, n := range c.Performance.Notes {
				played = append(played, n.Key)
			}
			require.Equal(t, x.play, played)
			got := OffCompass(c)
			wellFormed(t, KindOffCompass, got)
			require.Len(t, got, 1)
			require.Equal(t, Notice, got[0].Severity)
			require.Contains(t, got[0].Message, x.want)
		})
	}
	// two octaves too low there is no such key
	got := OffCompass(play(t, "village", page(60, line{"Pedal", tune(0, 1, 21, 36, 38)})))
	require.Len(t, got, 1)
	require.Equal(t, Fail, got[0].Severity)
}
