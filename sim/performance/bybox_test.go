package performance

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"afterchord/sim/score"
)

// A hairpin from p to f on the Swell is the box's: no stop moves, neither there nor in a pedal that has no marks of its own; a
// softer mark after it shuts the box again (common practice).
func TestTheBoxTakesAMarkThatAHairpinLeadsTo(t *testing.T) {
	o := organ(t, "village")
	say := func(at score.Tick, kind score.WordKind, text string) score.Word {
		return score.Word{At: at, Part: 0, Kind: kind, Text: text}
	}
	make2 := func(name string, last string) *score.Score {
		s := page(8, name, "Pedal")
		line(s, 0, 80, 0, 60, 62, 64, 65, 67, 69, 71, 72, 60, 62, 64, 65, 67, 69, 71, 72)
		line(s, 1, 80, 0, 36, 38, 40, 41)
		s.Words = []score.Word{say(0, score.Mark, "p"), say(1920, score.Hairpin, "crescendo"), say(3840, score.Hairpin, "stop"), say(3840, score.Mark, last), say(5760, score.Mark, "p")}
		return s
	}
	p := build(t, make2("Swell", "f"), o, Options{})
	assert.Len(t, p.Changes, 1, "no stop moves")
	sw, _ := o.DivisionByName("Swell")
	at := func(t float64) float64 {
		m := make(moves, len(o.Divisions))
		m[sw] = p.Box
		return m.standing(sw, t)
	}
	s := make2("Swell", "f")
	assert.Equal(t, 1.0, at(s.Seconds(4000)))
	assert.Equal(t, softBox, at(s.Seconds(5760)), "shut for what is soft")
	assert.Greater(t, len(build(t, make2("Great", "f"), o, Options{}).Changes), 1, "the Great has no box")
	assert.Greater(t, len(build(t, make2("Swell", "fff"), o, Options{}).Changes), 1, "more than a box can do")
	alone := make2("Swell", "f") // "cresc." and nothing after it: two bars
	alone.Words = alone.Words[:2:2]
	assert.Equal(t, alone.Bars[0].Start+1920+2*alone.Bars[0].Length, HairpinEnd(alone, 1))
	p = build(t, alone, o, Options{})
	assert.Less(t, at(alone.Seconds(3000)), 1.0)
	assert.Equal(t, 1.0, at(alone.Seconds(1920+2*alone.Bars[0].Length)))
	none := make2("Swell", "f")
	none.Words = append(none.Words[:1:1], none.Words[3:]...)
	assert.Greater(t, len(build(t, none, o, Options{}).Changes), 1, "no hairpin")
}
