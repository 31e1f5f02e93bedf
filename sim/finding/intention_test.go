package finding

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"afterchord/sim/score"
)

// What a file's velocities say is the composer's where they change by marks, and nobody's where they are one constant or a player's touch.
func TestIntentionInVelocities(t *testing.T) {
	long := func(velocity func(i int) int) line {
		l := line{"Swell", tune(0, 0.5, make([]int, 48)...)}
		for i := range l.notes {
			l.notes[i].Key, l.notes[i].Velocity = 60+i%5, velocity(i)
		}
		return l
	}
	for _, x := range []struct {
		name     string
		velocity func(i int) int
		want     bool
	}{
		{"a constant of the export", func(int) int { return 90 }, false},
		{"marks", func(i int) int { return []int{49, 80}[i/24] }, true},
		{"a touch", func(i int) int { return 60 + i*7%31 }, false},
	} {
		c := play(t, "minster", page(60, long(x.velocity)))
		assert.Equal(t, x.want, c.exportedMarks(), x.name)
		assert.Equal(t, x.name == "a touch", c.touched(), x.name)
	}
	quiet := &Context{Score: &score.Score{}}
	assert.False(t, quiet.exportedMarks())
}
