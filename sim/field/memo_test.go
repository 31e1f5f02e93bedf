package field

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/room"
	"afterchord/sim/performance"
	"afterchord/voicing"
)

// What has been worked out is worked out again only from other figures, for something else, or in a hall that does not remember.
func TestRecall(t *testing.T) {
	organ, _ := voicing.BuiltIn("cabinet")
	r, _ := room.BuiltIn("chapel")
	seat, _ := r.Seat("middle")
	hall := NewHall(organ, r, seat, hearing.New(hearing.Options{}), nil)
	worked := 0
	ask := func(h *Hall, called string, figure float64) float64 {
		return Recall(h, called, func(f *Figures) { f.Float(figure) }, func() float64 { worked++; return figure * 2 })
	}
	memory := hall.Remembering()
	for _, x := range []struct {
		hall   *Hall
		called string
		figure float64
		want   int
	}{
		{memory, "a", 1, 1}, {memory, "a", 1, 1}, {memory, "a", 2, 2}, {memory, "b", 1, 3}, {memory.With(nil), "a", 2, 3}, {memory.Remembering(), "b", 1, 3}, {hall, "a", 1, 4}, {hall, "a", 1, 5},
	} {
		assert.Equal(t, 2*x.figure, ask(x.hall, x.called, x.figure))
		assert.Equal(t, x.want, worked, "%+v", x)
	}
}

// Of the moves of the boxes those count that say how a box stands between two times.
func TestBoxesBetween(t *testing.T) {
	moves := []performance.BoxMove{{AtS: 1, Open: 0.1}, {AtS: 2, Open: 0.2}, {AtS: 3, Open: 0.3}, {AtS: 4, Open: 0.4}, {AtS: 5, Open: 0.5}}
	hall := &Hall{box: [][]performance.BoxMove{moves}}
	figures := func(from, to float64) string {
		f := &Figures{h: hall}
		f.Boxes(from, to)
		return string(f.key)
	}
	between := figures(2.5, 3.5)
	hall.box[0] = moves[1:4]
	assert.Equal(t, between, figures(2.5, 3.5))
	hall.box[0] = moves[2:4]
	assert.NotEqual(t, between, figures(2.5, 3.5))
	hall.box[0] = moves[1:3]
	assert.NotEqual(t, between, figures(2.5, 3.5))
}
