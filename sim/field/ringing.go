package field

import (
	"math"

	"afterchord/sim/pipework"
)

// Ringing is what pipes whose pallets have shut have left at the seat: as many as are added, for the price of few. After the
// pallet has shut, what a pipe gives (see [Hall.Pipe]) falls as the decays of the room, which are the same for all
// pipes and are added up, and with the pipe's own fall, which is soon past.
type Ringing struct {
	h      *Hall
	began  bool                // something has been added
	atS    float64             // the time that room holds for
	room   [maxTerms][]float64 // (20 µPa)² per auditory band
	fading []fading
	box    *boxState // of the pipe added last
	lapses *lapses
}

// fading is a pipe that has not yet died away.
type fading struct {
	voice *voice
	shutS float64   // when its pallet shut, on the seat's clock
	power []float64 // then, pW per band of the voice; not its own
	box   *boxState
}

// diedAway is how many time constants after its pallet has shut a pipe is no longer followed: 60 dB down, of what is reckoned as the
// room's and as its own.
const diedAway = 14

// NewRinging is nothing that rings.
func (h *Hall) NewRinging() *Ringing {
	r := &Ringing{h: h, lapses: h.newLapses()}
	for t := range r.room {
		r.room[t] = make([]float64, h.Model.N())
	}
	return r
}

// Clear takes everything away.
func (r *Ringing) Clear() {
	for t := range r.room {
		clear(r.room[t])
	}
	clear(r.fading)
	r.fading = r.fading[:0]
	r.began = false
}

// ShutS is when the pallet of e is heard to shut at the seat, s.
func (h *Hall) ShutS(e *pipework.Event) float64 {
	return e.OffS + h.Paths[e.Pipe.Division].DelayS
}

// Add takes in what e leaves from the moment on at which its pallet is heard to shut.
func (r *Ringing) Add(e *pipework.Event) { r.add(r.h.voice(e.Pipe), e.OnS, e.OffS) }

// AddChord is Add for all the pipes of c.
func (r *Ringing) AddChord(c *Chord) {
	x, h := c.ensemble, r.h
	if x == nil {
		return
	}
	held := c.OffS - c.OnS
	if !x.settled(held) {
		for _, v := range x.voices {
			r.add(v, c.OnS, c.OffS)
		}
		return
	}
	shut := c.OffS + h.Paths[x.division].DelayS
	r.until(shut)
	l := r.lapses
	l.left(x, held)
	box, gone := l.box(x.division, c.OffS), l.after(r.atS-shut)
	for t := range h.terms {
		room, left := r.room[t][x.from:x.to], l.room[t][:len(x.full)]
		for k, p := range left {
			b := x.from + k
			room[k] += box.gain[h.octaveOf[b]] * p * gone[b][t]
		}
	}
	still := r.standing(box)
	for _, v := range x.voices {
		r.fading = append(r.fading, fading{v, shut, v.steady, still})
	}
}

func (r *Ringing) add(v *voice, onS, offS float64) {
	h, held := r.h, offS-onS
	if held <= v.dead {
		return
	}
	shut := offS + h.Paths[v.division].DelayS
	r.until(shut)
	box := r.lapses.box(v.division, offS)
	end, gone := h.ending(v, held, r.lapses), r.lapses.after(r.atS-shut)
	gain := h.gain[v.division]
	for i, b := range v.bands {
		o, power := v.octave[i], end.power[i]
		for t := range h.terms {
			r.room[t][b] += box.gain[o] * gain[b][t] * (end.room[i][t] + power*v.joined[i][t]) * gone[b][t]
		}
	}
	r.fading = append(r.fading, fading{v, shut, end.power, r.standing(box)})
}

// standing is box, kept as it stands; pipes that stop while it does not move share it.
func (r *Ringing) standing(box *boxState) *boxState {
	if r.box == nil || *r.box != *box {
		kept := *box
		r.box = &kept
	}
	return r.box
}

// until takes what rings on to a pallet that shuts.
func (r *Ringing) until(shut float64) {
	if !r.began {
		r.began, r.atS = true, shut
	}
	if shut > r.atS {
		r.advance(shut)
	}
}

// share is k/(r−k), of a fall r and a decay k that are taken as a little apart where they are alike.
func share(r, k float64) float64 {
	if d := r - k; math.Abs(d) > 1e-5*k {
		return k / d
	}
	return 1e5
}

// advance takes the room's decays on to t.
func (r *Ringing) advance(t float64) {
	h := r.h
	for b, left := range r.lapses.after(t - r.atS) {
		for i := range h.terms {
			r.room[i][b] *= left[i]
		}
	}
	r.atS = t
}

// Forward goes on to t (seat clock, s): nobody asks for what rang before.
func (r *Ringing) Forward(t float64) {
	if r.began && t > r.atS {
		r.advance(t)
	}
	kept := r.fading[:0]
	for i := range r.fading {
		if f := &r.fading[i]; r.sounds(f, t) {
			kept = append(kept, *f)
		}
	}
	clear(r.fading[len(kept):])
	r.fading = kept
}

// sounds reports whether a pipe itself still gives anything at t.
func (r *Ringing) sounds(f *fading, t float64) bool {
	have := -1
	for _, octave := range f.voice.octave {
		if o := int(octave); o != have {
			have = o
			if f.voice.fall[o]*(t-f.shutS) < f.voice.alive {
				return true
			}
		}
	}
	return false
}

// At adds to dst what rings at t (seat clock, s), which is no earlier than the pallets have shut: mean-square pressure,
// (20 µPa)² per auditory band.
func (r *Ringing) At(dst []float64, t float64) {
	if !r.began {
		return
	}
	h := r.h
	for b, left := range r.lapses.after(t - r.atS) {
		for i := range h.terms {
			dst[b] += r.room[i][b] * left[i]
		}
	}
	for i := range r.fading {
		f := &r.fading[i]
		f.voice.fadeOwn(dst, f.power, h.direct[f.voice.division], f.box, t-f.shutS, f.voice.alive)
	}
}
