package finding

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

// The swell pedal is out of reach while both feet play; the left foot alone can take a held note or
// slow steps (common practice).
func TestBoxOutOfReach(t *testing.T) {
	swell := line{"Swell", append(chordOf(0, 4, 60, 64, 67), chordOf(4, 4, 62, 65, 69)...)}
	both := line{"Pedal", tune(0, 0.25, 36, 43, 48, 43, 36, 43, 48, 43, 36, 43, 48, 43, 36, 43, 48, 43, 36, 43, 48, 43, 36, 43, 48, 43)}
	cases := []struct {
		name  string
		lines []line
		word  string
		part  int
		want  string
	}{
		{"both feet busy", []line{swell, both}, "crescendo", 0, "both feet are busy"},
		{"two voices in the pedal", []line{swell, {"Pedal", append(tune(0, 1, 36, 38, 40, 41, 43, 41, 40, 38), tune(0, 1, 48, 50, 52, 53, 55, 53, 52, 50)...)}}, "crescendo", 0, "both feet are busy"},
		{"no pedal", []line{swell}, "crescendo", 0, ""},
		{"one held pedal note", []line{swell, {"Pedal", tune(0, 8, 36)}}, "diminuendo", 0, ""},
		{"slow steps", []line{swell, {"Pedal", tune(0, 2, 36, 38, 40, 38)}}, "crescendo", 0, ""},
		{"no box", []line{{"Great", swell.notes}}, "crescendo", 0, "stands in no swell box"},
		{"no hairpin", []line{swell, both}, "", 0, ""},
	}
	for _, x := range cases {
		t.Run(x.name, func(t *testing.T) {
			s := page(100, x.lines...)
			if x.word != "" {
				s.Words = []score.Word{{At: 0, Part: x.part, Kind: score.Hairpin, Text: x.word}, {At: 6 * crotchet, Part: x.part, Kind: score.Hairpin, Text: "stop"}}
			}
			got := BoxOutOfReach(play(t, "minster", s))
			wellFormed(t, KindBoxOutOfReach, got)
			if x.want == "" {
				require.Empty(t, words(got))
				return
			}
			require.Len(t, got, 1)
			require.Contains(t, got[0].Message, x.want)
		})
	}
}

// Feet change on a held key: the right one takes a leap and gives the long note to the left. Two long notes at once hold both.
func TestTheFeetChangeOnALongNote(t *testing.T) {
	for _, x := range []struct {
		pedal []score.Note
		busy  bool
	}{{tune(0, 8, 36, 45), false}, {append(tune(0, 8, 36, 45), tune(0, 8, 48, 57)...), true}} {
		s := page(100, line{"Swell", append(chordOf(0, 8, 60, 64, 67), chordOf(8, 8, 62, 65, 69)...)}, line{"Pedal", x.pedal})
		s.Words = []score.Word{{Part: 0, Kind: score.Hairpin, Text: "crescendo"}, {At: 16 * crotchet, Part: 0, Kind: score.Hairpin, Text: "stop"}}
		require.Equal(t, x.busy, len(BoxOutOfReach(play(t, "minster", s))) > 0)
	}
}

func TestGraduals(t *testing.T) {
	ramp := func(from, step int) []score.Note {
		n := tune(0, 0.5, 60, 62, 64, 65, 67, 69, 71, 72, 74, 76, 77, 79)
		for i := range n {
			n[i].Velocity = from + step*i
		}
		return n
	}
	find := func(notes []score.Note, controls ...score.Control) []gradual {
		s := page(60, line{"Swell", notes})
		s.Controls = controls
		return play(t, "minster", s).graduals()
	}
	up := find(ramp(50, 4))
	require.Len(t, up, 1)
	require.True(t, up[0].louder)
	require.InDelta(t, 44, up[0].amount, 1e-9)
	down := find(ramp(100, -4))
	require.Len(t, down, 1)
	require.False(t, down[0].louder)
	require.Empty(t, find(ramp(64, 0)))
	wobbly := ramp(64, 0)
	for i := range wobbly {
		wobbly[i].Velocity += 8 * (i % 2)
	}
	require.Empty(t, find(wobbly))

	var cc []score.Control
	for i := range 8 {
		cc = append(cc, score.Control{At: score.Tick(i * 240), Kind: score.Controller, Number: 11, Value: 40 + 10*i})
	}
	pedalled := find(ramp(64, 0), cc...)
	require.Len(t, pedalled, 1)
	require.Equal(t, "controller 11", pedalled[0].source)
	require.InDelta(t, 70, pedalled[0].amount, 1e-9)
	require.Empty(t, find(ramp(64, 0), cc[:3]...))
}
