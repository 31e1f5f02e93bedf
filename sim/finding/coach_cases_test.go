package finding

import (
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

// A right hand in octaves: a 4 ft stop sounds the upper one (common practice).
func TestHandOctaves(t *testing.T) {
	octaves := func(each, length float64, lows ...int) line {
		var l line
		l.name = "Great"
		for i, k := range lows {
			l.notes = append(l.notes, chordOf(float64(i)*each, length, k, k+12)...)
		}
		return l
	}
	lows := []int{60, 62, 64, 65, 67, 65, 64, 62, 60, 59}
	other := line{"Left hand", chordOf(0, 9, 48, 52)} // else the two hands would share the octaves
	find := func(lines ...line) []Finding {
		return HandOctaves(hear(t, draw(play(t, "minster", page(60, append(lines, other)...)), "f"), "parish-church"))
	}
	quick := find(octaves(0.25, 0.25, lows...))
	wellFormed(t, KindHandOctaves, quick)
	require.Len(t, quick, 1)
	require.Contains(t, quick[0].Measured, "level_change_db")
	require.Contains(t, quick[0].Message, "sounds within")
	require.NotEmpty(t, find(octaves(1, 0.3, lows...)), "short ones")
	require.Empty(t, words(find(octaves(1, 1, lows...))), "slow and held: weight")
	require.Empty(t, words(find(line{"Great", tune(0, 0.25, lows...)})), "a single line")
	require.Empty(t, words(find(octaves(0.25, 0.25, 60, 60, 60, 60, 60, 60, 60))), "one octave again and again is no line")
}

// A tune over broken chords: on the same manual it has no sound of its own; on another with two marks more it has.
func TestSoloNotApart(t *testing.T) {
	figure := alberti([3]int{48, 52, 55}, [3]int{47, 50, 55}, [3]int{48, 52, 57})
	melody := tune(0, 1, 72, 76, 79, 77, 76, 74, 71, 72, 76, 74, 72, 69)
	find := func(lines ...line) []Finding {
		return SoloNotApart(hear(t, draw(play(t, "village", page(80, lines...)), "mf"), "chapel"))
	}
	same := find(line{"Right hand", melody}, line{"Left hand", figure})
	wellFormed(t, KindSoloNotApart, same)
	require.Len(t, same, 1)
	require.Equal(t, Warning, same[0].Severity)
	require.Contains(t, same[0].Message, "no sound of its own")
	// two voices that move as equals are no solo
	require.Empty(t, words(find(line{"Right hand", melody}, line{"Left hand", tune(0, 1, 48, 50, 52, 53, 55, 53, 52, 50, 48, 47, 45, 47)})))
	require.Empty(t, words(find(line{"Right hand", melody}, line{"Left hand", append(chordOf(0, 4, 48, 52), chordOf(4, 4, 47, 50)...)})))
}

// Loud full chords again and again: the page must say how long they are; it is a remark and no more.
func TestOpenArticulation(t *testing.T) {
	chords := func(each, length float64, keys ...int) line {
		l := line{name: "Great"}
		for i := range 8 {
			l.notes = append(l.notes, chordOf(float64(i)*each, length, keys...)...)
		}
		return l
	}
	find := func(mark string, lines ...line) []Finding {
		c := draw(play(t, "minster", page(60, lines...)), mark)
		for i := range c.Performance.Notes {
			if mark == "ff" {
				c.Performance.Notes[i].Dynamic = 6
			}
		}
		return OpenArticulation(c)
	}
	full := []int{48, 52, 55, 64, 67, 72}
	got := find("ff", chords(0.5, 0.5, full...))
	require.Len(t, got, 1)
	require.Equal(t, Notice, got[0].Severity)
	require.Empty(t, words(find("ff", chords(0.5, 0.25, full...))), "detached as written")
	require.Empty(t, words(find("ff", chords(2, 2, full...))), "held chords")
	require.Empty(t, words(find("mf", chords(0.5, 0.5, full...))), "not loud")

	// chords that change are open where both hands are full and they come several to the bar; a hymn has four keys, and a chord
	// that lasts the bar is held
	changing := func(each float64, chord []int) line {
		l := line{name: "Great"}
		for i := range 10 {
			keys := make([]int, len(chord))
			for j, k := range chord {
				keys[j] = k + []int{0, 5, 7, 2}[i%4]
			}
			l.notes = append(l.notes, chordOf(float64(i)*each, each, keys...)...)
		}
		return l
	}
	require.Len(t, find("ff", changing(1, full)), 1, "crotchets")
	require.Empty(t, words(find("ff", changing(1, full[1:5]))), "a hymn")
	require.Empty(t, words(find("ff", changing(4, full))), "one chord to the bar")

	// what the page says of their length, by signs or by words
	said := func(change func(s *score.Score)) []Finding {
		s := page(60, chords(0.5, 0.5, full...))
		change(s)
		c := draw(play(t, "minster", s), "ff")
		for i := range c.Performance.Notes {
			c.Performance.Notes[i].Dynamic = 6
		}
		return OpenArticulation(c)
	}
	require.Len(t, said(func(*score.Score) {}), 1)
	require.Empty(t, words(said(func(s *score.Score) {
		for i := range s.Notes {
			s.Notes[i].Articulated = true
		}
	})), "slurs")
	for _, w := range []string{"sempre legato", "stacc.", "non legato", "ben marcato", "Gt. détaché"} {
		require.Empty(t, words(said(func(s *score.Score) { s.Words = append(s.Words, score.Word{Part: -1, Kind: score.Text, Text: w}) })), w)
	}
	require.Len(t, said(func(s *score.Score) {
		s.Words = append(s.Words, score.Word{Part: -1, Kind: score.Text, Text: "Great to Pedal"})
	}), 1)
}

// A solo may be a passage of a piece: chords off the beat under a tune, between held chords.
func TestSoloInTheMidstOfAPiece(t *testing.T) {
	right := append(chordOf(0, 8, 60, 64, 67), chordOf(8, 8, 59, 62, 67)...)
	left := append(chordOf(0, 8, 48), chordOf(8, 8, 43)...)
	right = append(right, tune(16, 2, 72, 76, 79, 77, 76, 74, 71, 72, 74, 72, 69, 71, 72, 76)...)
	for i := range 28 {
		chord := [][]int{{52, 55}, {50, 53}, {52, 57}, {50, 55}}[i/3%4]
		left = append(left, chordOf(16.5+float64(i), 0.5, chord...)...)
	}
	right, left = append(right, chordOf(44, 8, 60, 64, 67)...), append(left, chordOf(44, 8, 48)...)
	got := SoloNotApart(hear(t, draw(play(t, "village", page(80, line{"Right hand", right}, line{"Left hand", left})), "mf"), "chapel"))
	require.Len(t, got, 1, words(got))
	require.Contains(t, got[0].Message, "no sound of its own")
}
