package performance

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"afterchord/sim/score"
)

// Three unnamed lines of which the upper two cross are a trio: two manuals and pedal (common practice). Lines that keep apart, and
// hands of a piano, are one keyboard's.
func TestATrioGoesToTwoManuals(t *testing.T) {
	o := organ(t, "minster")
	make3 := func(second []int, names ...string) *score.Score {
		s := page(8, names...)
		line(s, 0, 80, 0, 67, 69, 71, 72, 71, 69, 67, 69, 74, 66, 67, 69, 72, 71, 69, 71, 67, 74, 72, 71)
		line(s, 1, 80, 240, second...)
		line(s, 2, 80, 0, 43, 50, 48, 50, 43, 42, 43, 47)
		return s
	}
	crossing := []int{62, 64, 66, 67, 74, 72, 66, 62, 67, 71, 74, 76, 66, 67, 72, 76, 64, 69, 72, 74}
	p := build(t, make3(crossing, "Track 2", "Track 3", "Track 4"), o, Options{})
	assert.Equal(t, "Great Swell Pedal", divisions(o, p))
	assert.Contains(t, p.Assignments[1].Why, `--assign "Track 3=Great" puts both on one`)
	assert.True(t, p.Assignments[1].Assumed())
	p = build(t, make3(crossing, "a", "b", "c"), o, Options{Assign: map[string]string{"b": "Great"}})
	assert.Equal(t, "Great Great Pedal", divisions(o, p))
	assert.Equal(t, "Swell Great Pedal", divisions(o, build(t, make3(crossing, "Swell", "LH", "Pedal"), o, Options{})), "a name goes before the guess")
	assert.Equal(t, "Manual Manual Pedal", divisions(organ(t, "cabinet"), build(t, make3(crossing, "a", "b", "c"), organ(t, "cabinet"), Options{})))

	apart := make([]int, len(crossing))
	for i, k := range crossing {
		apart[i] = k - 12
	}
	assert.Equal(t, "Great Great Pedal", divisions(o, build(t, make3(apart, "Track 2", "Track 3", "Track 4"), o, Options{})))
	worded := make3(crossing, "Track 2", "Track 3", "Track 4")
	worded.Words = []score.Word{{Part: 0, Kind: score.Direction, Text: "II"}}
	assert.Equal(t, "Great Great Pedal", divisions(o, build(t, worded, o, Options{})), "the page says it itself")
}

// Hands with marks of their own that differ throughout cannot be on one keyboard.
func TestHandsMarkedApartGoToTwoManuals(t *testing.T) {
	o := organ(t, "village")
	make2 := func(right, left string) *score.Score {
		s := page(8, "R.H.", "L.H.")
		line(s, 0, 80, 0, 72, 74, 76, 77, 79, 77, 76, 74)
		line(s, 1, 80, 0, 60, 59, 57, 55, 60, 59, 57, 55)
		s.Words = []score.Word{{Part: 0, Kind: score.Mark, Text: right}, {Part: 1, Kind: score.Mark, Text: left}}
		return s
	}
	assert.Equal(t, "Great Swell", divisions(o, build(t, make2("mf", "p"), o, Options{})))
	assert.Equal(t, "Swell Great", divisions(o, build(t, make2("p", "mf"), o, Options{})))
	assert.Equal(t, "Great Great", divisions(o, build(t, make2("mf", "mf"), o, Options{})))
	brief := make2("mf", "mf")
	brief.Words = append(brief.Words, score.Word{At: 1920, Part: 0, Kind: score.Mark, Text: "f"})
	brief.Words = append(brief.Words, score.Word{At: 3840, Part: 0, Kind: score.Mark, Text: "mf"})
	assert.Equal(t, "Great Great", divisions(o, build(t, brief, o, Options{})))
}

// Files without marks say it by velocities that a program wrote for each hand; what fingers struck, or what differs by less than a mark,
// says nothing.
func TestHandsWithVelocitiesApartGoToTwoManuals(t *testing.T) {
	o := organ(t, "minster")
	make3 := func(right, left int, waver int) *score.Score {
		s := page(8, "Track 2", "Track 3", "Track 4")
		line(s, 0, right, 0, 72, 74, 76, 77, 79, 77, 76, 74)
		line(s, 1, left, 0, 60, 59, 57, 55, 60, 59, 57, 55)
		line(s, 2, left, 0, 43, 50, 48, 50, 43, 42, 43, 47)
		for i := range s.Notes {
			s.Notes[i].Velocity += waver * (i * 7 % 5)
		}
		return s
	}
	assert.Equal(t, "Great Swell Pedal", divisions(o, build(t, make3(96, 64, 0), o, Options{})))
	assert.Equal(t, "Swell Great Pedal", divisions(o, build(t, make3(55, 90, 0), o, Options{})))
	assert.Equal(t, "Great Great Pedal", divisions(o, build(t, make3(90, 80, 0), o, Options{})))
	assert.Equal(t, "Great Great Pedal", divisions(o, build(t, make3(90, 55, 1), o, Options{})))
}

// Velocities that a notation program has exported are marks; a touch, and a left hand at the export's own velocity, are none.
func TestHandsExportedApartGoToTwoManuals(t *testing.T) {
	o := organ(t, "village")
	make2 := func(right, left int) *score.Score {
		s := page(8, "", "")
		line(s, 0, right, 0, 72, 74, 76, 77, 79, 77, 76, 74)
		line(s, 1, left, 0, 60, 59, 57, 55, 60, 59, 57, 55)
		return s
	}
	assert.Equal(t, "Great Swell", divisions(o, build(t, make2(80, 36), o, Options{})))
	assert.Equal(t, "Swell Great", divisions(o, build(t, make2(36, 96), o, Options{})))
	assert.Equal(t, "Great Great", divisions(o, build(t, make2(96, 80), o, Options{})), "one mark")
	assert.Equal(t, "Great Great", divisions(o, build(t, make2(36, 80), o, Options{})), "the left hand at the export's own velocity")
	assert.Equal(t, "Great Great", divisions(o, build(t, make2(112, 80), o, Options{})))
	played := make2(90, 50)
	for i := range played.Notes {
		played.Notes[i].Velocity += i % 5
	}
	assert.Equal(t, "Great Great", divisions(o, build(t, played, o, Options{})))
}
