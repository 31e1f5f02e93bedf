package field

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/room"
	"afterchord/sim/pipework"
	"afterchord/voicing"
)

// What rings is the sum of what the pipes give one by one, down to 60 dB below what they give for good.
func TestRingingIsTheSumOfItsPipes(t *testing.T) {
	organ, _ := voicing.BuiltIn("minster")
	for _, name := range []string{"practice-room", "parish-church", "cathedral"} {
		r, _ := room.BuiltIn(name)
		seat, _ := r.Seat("middle")
		h := NewHall(organ, r, seat, hearing.New(hearing.Options{}), nil)
		ringing := h.NewRinging()
		add := func(e *pipework.Event) {
			v := h.voice(e.Pipe)
			if len(v.bands) == 0 {
				return
			}
			ringing.AddChord(&Chord{OnS: e.OnS, OffS: e.OffS, ensemble: h.newEnsemble([]*voice{v})})
		}
		add(&pipework.Event{Pipe: voicing.PipeID{Key: 50}, OnS: 5000, OffS: 5001})
		ringing.Clear() // and from the beginning again
		rnd := rand.New(rand.NewPCG(1, 2))
		var all []pipework.Event
		now := 0.0
		most := make([]float64, h.Model.N())
		for range 60 {
			now += rnd.Float64() * 0.3
			for range 5 {
				d := rnd.IntN(len(organ.Divisions))
				e := pipework.Event{OnS: now - rnd.ExpFloat64()*0.2, OffS: now - rnd.Float64()*0.01}
				e.Pipe = voicing.PipeID{Division: uint8(d), Stop: uint8(rnd.IntN(len(organ.Divisions[d].Stops))), Key: uint8(40 + rnd.IntN(20))}
				all = append(all, e)
				add(&e)
				h.SteadyPipe(most, &e, now)
			}
			at := now + 0.2 + rnd.Float64()*0.2
			want, got := make([]float64, h.Model.N()), make([]float64, h.Model.N())
			for i := range all {
				h.Pipe(want, &all[i], at)
			}
			ringing.At(make([]float64, h.Model.N()), at+5) // a look ahead changes nothing
			ringing.Forward(now)
			ringing.At(got, at)
			for b := range want {
				assert.InDelta(t, want[b], got[b], 1e-4*want[b]+1e-6*most[b], "%s, band %d at %.3f s", name, b, at)
			}
		}
	}
}
