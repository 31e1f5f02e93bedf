package finding

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

// A line in mf inside chords in p, on one staff: one keyboard has one loudness (common practice). A second mark for one voice is none,
// and neither is the same mark twice.
func TestTwoMarksOnOneStaff(t *testing.T) {
	for _, x := range []struct {
		marks  string
		voices int
		want   string
	}{{"p mf", 2, "p and mf stand at one place over one staff (Great), and the Great plays it"}, {"p p", 2, ""}, {"p mf", 1, ""}, {"p sfz", 2, ""}} {
		s := page(72, line{"Great", append(chordOf(0, 4, 60, 64, 67), tune(0, 1, 72, 74, 76, 77)...)})
		for i := range s.Notes {
			if s.Notes[i].Key >= 72 {
				s.Notes[i].Voice = x.voices - 1
			}
		}
		for _, m := range strings.Fields(x.marks) {
			s.Words = append(s.Words, score.Word{Part: 0, Kind: score.Mark, Text: m})
		}
		got := NoSuchEffect(play(t, "minster", s))
		if x.want == "" {
			require.Empty(t, words(got), x.marks)
			continue
		}
		require.Len(t, got, 1)
		require.Contains(t, got[0].Message, x.want)
		require.Equal(t, Warning, got[0].Severity)
	}
}

func loud(n score.Note, velocity int) score.Note {
	n.Velocity = velocity
	return n
}

// The organ has no sustaining pedal, no touch, no bend (common practice). Controller 64 is the
// sustaining pedal, on from 64; bend 8191 is two semitones up at the usual range (MIDI 1.0; from memory).
func TestNoSuchEffect(t *testing.T) {
	cc := func(number, value int, at float64) score.Control {
		return score.Control{At: score.Tick(at * crotchet), Kind: score.Controller, Number: number, Value: value}
	}
	even := tune(0, 1, 60, 64, 67, 72, 67, 64)
	cases := []struct {
		name     string
		notes    []score.Note
		controls []score.Control
		want     string
	}{
		{"plain", even, nil, ""},
		{"pedal down through two notes", even, []score.Control{cc(64, 127, 0), cc(64, 0, 3.5)}, "sustaining pedal lengthens 3 notes, by 1.50 s on average"},
		{"pedal never down", even, []score.Control{cc(64, 0, 0), cc(64, 63, 2)}, ""},
		{"soft pedal", even, []score.Control{cc(67, 127, 1), cc(67, 0, 2)}, "soft pedal is used once"},
		{"volume is for another check", even, []score.Control{cc(7, 100, 0)}, ""},
		{"bend", even, []score.Control{{At: 480, Kind: score.Bend, Value: 4096}, {At: 960, Kind: score.Bend}}, "bent by up to 1.00 semitones"},
		{"bend at rest", even, []score.Control{{At: 480, Kind: score.Bend}}, ""},
		{"pressure", even, []score.Control{{At: 480, Kind: score.Pressure, Number: -1, Value: 90}}, "Pressure on held keys"},
		{"accent inside a chord", append(chordOf(0, 2, 60, 64), loud(key(67, 0, 2), 110)), nil, "In 1 chord single notes are struck up to 30 velocity steps harder"},
		{"chord struck evenly", chordOf(0, 2, 60, 64, 67), nil, ""},
		{"accented note", append(tune(0, 1, 60, 62), append([]score.Note{loud(key(64, 2, 1), 120)}, tune(3, 1, 65, 67, 69)...)...), nil, "accented by a harder touch"},
		{"struck again while held", append([]score.Note{key(60, 0, 4)}, key(60, 2, 1)), nil, "C4 is struck again"},
		{"repeated note", tune(0, 1, 60, 60, 60), nil, ""},
	}
	for _, x := range cases {
		t.Run(x.name, func(t *testing.T) {
			s := page(60, line{"Great", x.notes})
			s.Controls = x.controls
			got := NoSuchEffect(play(t, "village", s))
			wellFormed(t, KindNoSuchEffect, got)
			if x.want == "" {
				require.Empty(t, words(got))
				return
			}
			require.Contains(t, strings.Join(words(got), "\n"), x.want)
		})
	}
}

func TestTwoLoudnessesOnOneKeyboard(t *testing.T) {
	two := func(second string) []Finding {
		s := page(60, line{"Great solo", tune(0, 1, 72, 74, 76, 77, 79, 77, 76, 74)}, line{second, tune(0, 1, 55, 57, 59, 60, 62, 60, 59, 57)})
		for i := range s.Notes {
			if s.Notes[i].Part == 1 {
				s.Notes[i].Velocity = 49
			}
		}
		return NoSuchEffect(play(t, "village", s))
	}
	got := two("Great accompaniment")
	require.Len(t, got, 1, words(got))
	require.Contains(t, got[0].Message, "one keyboard has one loudness")
	require.Empty(t, words(two("Swell")))
}

// An echo on one keyboard takes turns with what it answers: the stops change between them.
func TestAnEchoOnOneKeyboard(t *testing.T) {
	var phrase, echo []score.Note
	for i := range 3 {
		phrase = append(phrase, tune(float64(8*i), 1, 72, 74, 76, 77)...)
		for _, n := range tune(float64(8*i+4), 1, 72, 74, 76, 77) {
			echo = append(echo, loud(n, 49))
		}
	}
	require.Empty(t, words(NoSuchEffect(play(t, "cabinet", page(60, line{"Great", phrase}, line{"Swell", echo})))))
}
