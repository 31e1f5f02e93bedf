package field

import (
	"math"

	"afterchord/acoustics/octave"
)

// begin starts a pipe's attack in the frame that begins at t0.
func (e *engine) begin(x edge, t0 float64) {
	v := e.h.voice(e.f.Events[x.event].Pipe)
	phase := int((x.at - t0) / e.step * phases)
	phase = min(phases-1, max(0, phase))
	e.rising = append(e.rising, riser{event: x.event, voice: v, phase: phase})
	e.where[x.event] = int32(len(e.rising))
	e.sounding[v.division]++
}

// finish shuts a pallet: what the pipe has put into the room becomes residue and the
// pipe itself fades.
func (e *engine) finish(x edge, t0 float64) {
	ev := &e.f.Events[x.event]
	v := e.h.voice(ev.Pipe)
	spoken := ev.OffS - ev.OnS - v.dead
	r := releaser{voice: v, power: e.scratch(len(v.bands))}
	var first octave.Bands
	for o := range first {
		first[o] = math.Exp(-v.fall[o] * max(0, t0+e.step/2-x.at))
	}
	rising := int(e.where[x.event]) - 1
	if rising >= 0 {
		e.drop(rising)
	}
	g, gain := &e.boxes[v.division], e.h.gain[v.division]
	for i, b := range v.bands {
		o := e.h.octaveOf[b]
		left := e.h.rest(b, spoken)
		// taken at the moment the pallet shut; the step below takes it to the frame's end
		back := e.h.rest(b, t0-x.at)
		power, room := v.speech(e.h.terms, i, spoken, &left)
		if rising < 0 {
			power = v.steady[i]
			e.speaking[v.division][b] = max(0, e.speaking[v.division][b]-power)
		}
		r.power[i] = power * first[o]
		for t := range e.h.terms {
			e.residue[t][b] += room[t] * g[o] * gain[b][t] * back[t]
		}
	}
	e.releasing = append(e.releasing, r)
}

// scratch is a slice of n zeros, from those that are spare where one is long enough.
func (e *engine) scratch(n int) []float64 {
	if k := len(e.spare) - 1; k >= 0 {
		p := e.spare[k]
		e.spare = e.spare[:k]
		if cap(p) >= n {
			p = p[:n]
			clear(p)
			return p
		}
	}
	return make([]float64, n, e.h.Model.N())
}

// drop removes riser i.
func (e *engine) drop(i int) {
	e.where[e.rising[i].event] = 0
	last := len(e.rising) - 1
	if i != last {
		e.rising[i] = e.rising[last]
		e.where[e.rising[i].event] = int32(i + 1)
	}
	e.rising = e.rising[:last]
}

// sum fills rising with the power of the pipes in attack, moves those that are up to
// speaking, and fills fading with the pipes in release.
func (e *engine) sum(rising [][]float64) {
	for d := range rising {
		if e.sounding[d] > 0 {
			clear(rising[d])
			clear(e.fading[d])
		}
	}
	for i := 0; i < len(e.rising); {
		r := &e.rising[i]
		v := r.voice
		table := v.table(r.phase, e.step)
		if (r.row+1)*len(v.bands) > len(table) {
			for j, b := range v.bands {
				e.speaking[v.division][b] += v.steady[j]
			}
			e.drop(i)
			continue
		}
		row := table[r.row*len(v.bands) : (r.row+1)*len(v.bands)]
		for j, b := range v.bands {
			rising[v.division][b] += row[j]
		}
		r.row++
		i++
	}
	kept := e.releasing[:0]
	for _, r := range e.releasing {
		sum := 0.0
		for j, b := range r.voice.bands {
			e.fading[r.voice.division][b] += r.power[j]
			sum += r.power[j]
			r.power[j] *= r.voice.fade[j]
		}
		if sum > 1e-3 { // pW: 30 dB below the threshold of hearing at any seat
			kept = append(kept, r)
			continue
		}
		e.spare = append(e.spare, r.power)
		d := r.voice.division
		if e.sounding[d]--; e.sounding[d] == 0 {
			clear(e.speaking[d]) // of what rounding left
			clear(e.fading[d])
		}
	}
	clear(e.releasing[len(kept):])
	e.releasing = kept
}
