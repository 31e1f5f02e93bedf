package performance

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A hairpin comes out of a notation program as velocities that rise: on a keyboard in a box the foot makes it, on another the stops do.
func TestExportedHairpinIsTheBox(t *testing.T) {
	o := organ(t, "village")
	play := func(name string) *Performance {
		s := page(8, name)
		line(s, 0, 49, 0, 60, 62, 64, 65, 67, 69, 71, 72, 71, 69, 67, 65, 64, 62, 60, 62, 64, 65, 67, 69)
		for i := range s.Notes {
			s.Notes[i].Velocity = 49 + 5*min(max(0, i-4), 8)
		}
		return build(t, s, o, Options{})
	}
	swell := play("Swell")
	require.Len(t, swell.Changes, 1, "no stop moves")
	require.NotEmpty(t, swell.Box)
	assert.Equal(t, 1.0, swell.Box[len(swell.Box)-1].Open)
	great := play("Great")
	assert.Empty(t, great.Box)
	assert.Greater(t, len(great.Changes), 1)
}

// A mark between two staves comes out on the upper one, and the lower at the export's own velocity: it is for both hands.
func TestTheUnmarkedHandFollows(t *testing.T) {
	o := organ(t, "village")
	play := func(right func(i int) int, left int) *Performance {
		s := page(8, "RH", "LH")
		line(s, 0, 0, 0, 72, 74, 76, 77, 79, 77, 76, 74, 72, 74, 76, 77, 79, 77, 76, 74)
		line(s, 1, left, 0, 60, 59, 57, 55, 60, 59, 57, 55, 60, 59, 57, 55, 60, 59, 57, 55)
		for i, k := 0, 0; i < len(s.Notes); i++ {
			if s.Notes[i].Part == 0 {
				s.Notes[i].Velocity = right(k)
				k++
			}
		}
		return build(t, s, o, Options{})
	}
	dynamics := func(p *Performance) (out []string) {
		for _, x := range p.Passages {
			out = append(out, x.Dynamic.String())
		}
		return out
	}
	falls := func(i int) int { return map[bool]int{true: 112, false: 49}[i < 8] }
	assert.Equal(t, []string{"ff", "p", "ff", "p"}, dynamics(play(falls, 80)))
	assert.Equal(t, []string{"ff", "p", "f"}, dynamics(play(falls, 96)), "the left hand has its own")
	assert.Equal(t, []string{"f", "f"}, dynamics(play(func(int) int { return 96 }, 80)))
	assert.Equal(t, []string{"mf", "p"}, dynamics(play(func(int) int { return 80 }, 49)), "who is above follows nobody")
}
