package field

import "math"

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
}

// fading is the pipes of a chord that have not yet died away.
type fading struct {
	ensemble *ensemble
	release  *release
	shutS    float64 // when their pallets shut, on the seat's clock
	box      *boxState
}

// diedAway is how many time constants after its pallet has shut a pipe is no longer followed: 60 dB down, of what is reckoned as the
// room's and as its own.
const diedAway = 14

// NewRinging is nothing that rings.
func (h *Hall) NewRinging() *Ringing {
	r := &Ringing{h: h}
	rows := rowsOf(h.Model.N(), len(r.room))
	for t := range r.room {
		r.room[t] = rows()
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

// AddChord takes in what c leaves from the moment on at which its pallets are heard to shut.
func (r *Ringing) AddChord(c *Chord) {
	x, h := c.ensemble, r.h
	held := c.OffS - c.OnS
	if x == nil || held <= x.first {
		return
	}
	shut := c.OffS + h.Paths[x.division].DelayS
	l := h.borrowed()
	r.until(shut, l)
	all, release := h.shut(x, held, l)
	box, gone := l.box(x.division, c.OffS), l.after(r.atS-shut)
	for t := range h.terms {
		room := r.room[t][x.from:x.to]
		for k, p := range all[t][:len(room)] {
			b := x.from + k
			room[k] += box.gain[h.octaveOf[b]] * p * gone[b][t]
		}
	}
	r.fading = append(r.fading, fading{x, release, shut, r.standing(box)})
	h.spare.Put(l)
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
func (r *Ringing) until(shut float64, l *lapses) {
	if !r.began {
		r.began, r.atS = true, shut
	}
	if shut > r.atS {
		r.advance(shut, l)
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
func (r *Ringing) advance(t float64, l *lapses) {
	h := r.h
	for b, left := range l.after(t - r.atS) {
		for i := range h.terms {
			r.room[i][b] *= left[i]
		}
	}
	r.atS = t
}

// Forward goes on to t (seat clock, s): nobody asks for what rang before.
func (r *Ringing) Forward(t float64) {
	if r.began && t > r.atS {
		l := r.h.borrowed()
		r.advance(t, l)
		r.h.spare.Put(l)
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

// sounds reports whether the pipes themselves still give anything at t.
func (r *Ringing) sounds(f *fading, t float64) bool {
	for _, fall := range &f.release.fall {
		if fall > 0 && fall*(t-f.shutS) < f.release.alive {
			return true
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
	l := h.borrowed()
	for b, left := range l.after(t - r.atS) {
		for i := range h.terms {
			dst[b] += r.room[i][b] * left[i]
		}
	}
	h.spare.Put(l)
	for i := range r.fading {
		f := &r.fading[i]
		f.release.addOwn(dst, h, f.ensemble, f.box, t-f.shutS)
	}
}
