package field

import (
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/room"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/voicing"
)

// A chord gives what its pipes give one by one: while they speak, fully up, just shut and long shut, ringing together and fully up for good;
// exactly where the pallets are open, and within a tenth of a decibel where they are shut, as the octaves of a chord then fall as one.
func TestChordIsTheSumOfItsPipes(t *testing.T) {
	for _, name := range []string{"practice-room", "cathedral"} {
		t.Run(name, func(t *testing.T) { chordIsTheSum(t, name) })
	}
}

func chordIsTheSum(t *testing.T, roomName string) {
	const tenthDB = 0.0233 // of a power
	organ, _ := voicing.BuiltIn("minster")
	r, _ := room.BuiltIn(roomName)
	seat, _ := r.Seat("middle")
	h := NewHall(organ, r, seat, hearing.New(hearing.Options{}), nil)
	for _, held := range []float64{0.02, 0.15, 3} {
		var events []pipework.Event
		for stop := range organ.Divisions[0].Stops {
			events = append(events, pipework.Event{Pipe: voicing.PipeID{Stop: uint8(stop), Key: 48}, OnS: 1, OffS: 1 + held})
		}
		p := &performance.Performance{Notes: []performance.Note{{}}}
		f, err := RunUnheard(context.Background(), h, events, p)
		require.NoError(t, err)
		chords := f.Chords(nil, 0)
		require.Len(t, chords, 1)
		for _, at := range []float64{1.05, 1.2, 2, 1 + held + 0.1, 1 + held + 0.3, 1 + held + 4} {
			want, got, energy := make([]float64, h.Model.N()), make([]float64, h.Model.N()), make([]float64, h.Model.N())
			for i := range events {
				h.Pipe(want, &events[i], at)
			}
			h.AddChords(got, chords, at)
			f.Energy(energy, f.NoteEvents(0), at)
			if at < 1+held {
				assert.InDeltaSlice(t, want, got, 1e-9*sum(want)+1e-15, "held %g s, at %g s", held, at)
			} else {
				assert.InEpsilon(t, sum(want)+1e-3, sum(got)+1e-3, tenthDB, "held %g s, at %g s", held, at)
			}
			assert.Equal(t, got, energy)
		}
		want, got := make([]float64, h.Model.N()), make([]float64, h.Model.N())
		one, all := h.NewRinging(), h.NewRinging()
		for i := range events {
			one.AddChord(&Chord{OnS: events[i].OnS, OffS: events[i].OffS, ensemble: h.newEnsemble([]*voice{h.voice(events[i].Pipe)})})
			h.SteadyPipe(want, &events[i], 1)
		}
		all.AddChord(&chords[0])
		h.SteadyChord(got, &chords[0], 1)
		assert.InDeltaSlice(t, want, got, 1e-9*sum(want))
		clear(want)
		clear(got)
		one.At(want, 1+held+0.2)
		all.At(got, 1+held+0.2)
		assert.InEpsilon(t, sum(want)+1e-3, sum(got)+1e-3, tenthDB)
	}
}

func sum(x []float64) (s float64) {
	for _, v := range x {
		s += v
	}
	return s
}

// The level that pipes beginning in a shut box will have is that of the box: it turns their direct sound away too, which beside the organ is most of it.
func TestNewLevelOfAShutBox(t *testing.T) {
	organ, _ := voicing.BuiltIn("minster")
	r, _ := room.BuiltIn("cathedral")
	seat, _ := r.Seat("console")
	swell, _ := organ.DivisionByName("Swell")
	h := NewHall(organ, r, seat, hearing.New(hearing.Options{}), []performance.BoxMove{{Division: swell, Open: 0}})
	events := []pipework.Event{{Pipe: voicing.PipeID{Division: uint8(swell), Stop: 2, Key: 84}, OnS: 0.1, OffS: 2}}
	note := performance.Note{Division: swell, Key: 84, OnS: 0.1, OffS: 2}
	for _, settled := range []bool{false, true} {
		if settled { // it has spoken when a key of another division goes down
			events[0].OnS, note.OnS = -2, -2
		}
		other := performance.Note{Key: 60, OnS: 0.1, OffS: 2}
		f, err := RunUnheard(context.Background(), h, events, &performance.Performance{Notes: []performance.Note{note, other}})
		require.NoError(t, err)
		want := make([]float64, h.Model.N())
		f.Steady(want, []int32{0}, 0.1)
		require.InDelta(t, DB(want), float64(f.Onsets[len(f.Onsets)-1].NewDB), 1e-3, "spoken before: %v", settled)
	}
}
