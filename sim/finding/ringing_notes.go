package finding

import "afterchord/sim/field"

// ringingNotes is what notes give at the seat as time goes on: those that are held pipe by pipe, those let go as one sum.
type ringingNotes struct {
	c      *Context
	sum    *field.Ringing
	held   []int32       // notes of which a pipe still speaks
	chords []field.Chord // scratch
}

func (c *Context) ringingNotes() *ringingNotes {
	return &ringingNotes{c: c, sum: c.Field.Hall.NewRinging()}
}

// press takes in a note.
func (r *ringingNotes) press(note int32) { r.held = append(r.held, note) }

// at adds to dst what there is at t (seat clock, s); calls go forward in time.
func (r *ringingNotes) at(dst []float64, t float64) {
	f := r.c.Field
	kept := r.held[:0]
	for _, n := range r.held {
		r.chords = f.Chords(r.chords[:0], int(n))
		shut := true
		for i := range r.chords {
			shut = shut && f.ShutChordS(&r.chords[i]) <= t
		}
		if !shut {
			kept = append(kept, n)
			f.Hall.AddChords(dst, r.chords, t)
			continue
		}
		for i := range r.chords {
			r.sum.AddChord(&r.chords[i])
		}
	}
	r.held = kept
	r.sum.Forward(t)
	r.sum.At(dst, t)
}
