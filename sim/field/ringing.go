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
	spare  [][]float64 // power of pipes that have died away, for the next ones
	lapses *lapses
}

// fading is a pipe that has not yet died away.
type fading struct {
	voice *voice
	shutS float64   // when its pallet shut, on the seat's clock
	power []float64 // then, (20 µPa)² per band of the voice, less what the room's decays have of it
	alive float64   // for how many time constants it is followed
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
	for _, f := range r.fading {
		r.spare = append(r.spare, f.power)
	}
	r.fading = r.fading[:0]
	r.began = false
}

// ShutS is when the pallet of e is heard to shut at the seat, s.
func (h *Hall) ShutS(e *pipework.Event) float64 {
	return e.OffS + h.Paths[e.Pipe.Division].DelayS
}

// Add takes in what e leaves from the moment on at which its pallet is heard to shut.
func (r *Ringing) Add(e *pipework.Event) {
	h := r.h
	v := h.voice(e.Pipe)
	if e.OffS-e.OnS <= v.dead {
		return
	}
	shut := h.ShutS(e)
	if !r.began {
		r.began, r.atS = true, shut
	}
	if shut > r.atS {
		r.advance(shut)
	}
	g := r.lapses.box(v.division, e.OffS)
	end, gone := h.ending(v, e.OffS-e.OnS, r.lapses), r.lapses.after(r.atS-shut)
	direct, gain := h.direct[v.division], h.gain[v.division]
	f := fading{voice: v, shutS: shut, power: r.take(len(v.bands))}
	most := 0.0
	for i, b := range v.bands {
		o, power := v.octave[i], end.power[i]
		own := power * direct[b]
		for t := range h.terms {
			joined := v.joined[i][t]
			most = max(most, math.Abs(joined))
			own -= gain[b][t] * power * joined
			r.room[t][b] += g[o] * gain[b][t] * (end.room[i][t] + power*joined) * gone[b][t]
		}
		f.power[i] = own * g[o]
	}
	f.alive = diedAway + math.Log1p(most)
	r.fading = append(r.fading, f)
}

// take is a slice of n values.
func (r *Ringing) take(n int) []float64 {
	if k := len(r.spare) - 1; k >= 0 {
		p := r.spare[k]
		r.spare = r.spare[:k]
		return p[:n]
	}
	return make([]float64, n, r.h.Model.N())
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
	for _, f := range r.fading {
		if r.sounds(&f, t) {
			kept = append(kept, f)
		} else {
			r.spare = append(r.spare, f.power)
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
			if f.voice.fall[o]*(t-f.shutS) < f.alive {
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
		r.fade(dst, &r.fading[i], t)
	}
}

// fade adds what a pipe itself still gives.
func (r *Ringing) fade(dst []float64, f *fading, t float64) {
	have, shut := -1, 0.0
	for i, b := range f.voice.bands {
		o := int(f.voice.octave[i])
		if o != have {
			have, shut = o, 0
			if x := f.voice.fall[o] * (t - f.shutS); x < f.alive {
				shut = math.Exp(-x)
			}
		}
		dst[b] += f.power[i] * shut
	}
}
