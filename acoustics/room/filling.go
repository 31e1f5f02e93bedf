package room

import "afterchord/acoustics/octave"

// Filling is the room with so many people in it.
type Filling struct {
	People   int
	RT60     octave.Bands // s
	Computed bool         // from the room's own times and what people absorb; else they are the room's own
}

// Fillings are the reverberation times of the room as it is, half full and full ([Room.Capacity]); of a room that [Room.WithPeople] has filled, those
// of the empty one and its own. What a measurement gave and what is computed stand beside each other.
func (r *Room) Fillings() []Filling {
	if r.empty != nil {
		return []Filling{{RT60: *r.empty}, {People: r.people, RT60: r.RT60, Computed: true}}
	}
	out := []Filling{{RT60: r.RT60}}
	dry := *r
	dry.Measured = nil // its times alone
	for _, n := range []int{r.Capacity() / 2, r.Capacity()} {
		if full, err := dry.WithPeople(n); n > 0 && err == nil {
			out = append(out, Filling{People: n, RT60: full.RT60, Computed: true})
		}
	}
	return out
}

// Mid is the mean of 500 Hz and 1 kHz, s.
func (f *Filling) Mid() float64 { return midOf(f.RT60) }
