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
	end := e.h.ending(v, ev.OffS-ev.OnS, e.lapses)
	power, lasts := end.power, &end.lasts
	if rising := int(e.where[x.event]) - 1; rising >= 0 {
		e.drop(rising)
	} else {
		power, lasts = v.steady, &v.lasts
		speaking := e.speaking[v.division]
		for i, b := range v.bands {
			speaking[b] = max(0, speaking[b]-power[i])
		}
	}
	g, gain := &e.boxes[v.division], e.h.gain[v.division]
	// taken at the moment the pallet shut; the step below takes it to the frame's end
	back := e.lapses.after(t0 - x.at)
	for t := range e.h.terms {
		residue := e.residue[t]
		for i, b := range v.bands {
			residue[b] += end.room[i][t] * g[v.octave[i]] * gain[b][t] * back[b][t]
		}
	}
	e.release(v, power, lasts, max(0, t0+e.step/2-x.at))
}

// nothing is how weak an octave of a pipe is left out when it has died away, pW: 45 dB below the threshold of hearing at any seat.
const nothing = 3e-5

// lasting is how long after its pallet has shut each octave of a pipe of so much power is more than nothing, s.
func (v *voice) lasting(power []float64) (lasts octave.Bands) {
	for i, p := range power {
		lasts[v.octave[i]] += p
	}
	for o, p := range lasts {
		if lasts[o] = 0; p > nothing {
			lasts[o] = math.Log(p/nothing) / v.fall[o]
		}
	}
	return lasts
}

// release lets a pipe of so much power fade, whose pallet has been shut for shutS in the middle of the frame.
func (e *engine) release(v *voice, power []float64, lasts *octave.Bands, shutS float64) {
	e.releasing = append(e.releasing, releaser{voice: v, power: power, frames: 1})
	r := &e.releasing[len(e.releasing)-1]
	for o, s := range lasts {
		if s > shutS {
			r.factor[o] = math.Exp(-v.fall[o] * shutS)
			r.heard[o] = 1 + int32((s-shutS)/e.step)
			r.frames = max(r.frames, 1+r.heard[o]) // the last is silent
		}
	}
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
		table, n := v.table(r.phase), len(v.bands)
		if (r.row+1)*n > len(table) {
			add(e.speaking[v.division], v.bands, v.steady)
			e.drop(i)
			continue
		}
		add(rising[v.division], v.bands, table[r.row*n:(r.row+1)*n])
		r.row++
		i++
	}
	kept := e.releasing[:0]
	for i := range e.releasing {
		r := &e.releasing[i]
		r.fade(e.fading[r.voice.division])
		if r.past < r.frames {
			kept = append(kept, *r)
			continue
		}
		d := r.voice.division
		if e.sounding[d]--; e.sounding[d] == 0 {
			clear(e.speaking[d]) // of what rounding left
			clear(e.fading[d])
		}
	}
	clear(e.releasing[len(kept):])
	e.releasing = kept
}

// add adds values to dst at the bands.
func add(dst []float64, bands []int32, values []float64) {
	values = values[:len(bands)]
	for i, b := range bands {
		dst[b] += values[i]
	}
}

// fade adds the pipe's power in a frame to dst and takes it a frame on.
func (r *releaser) fade(dst []float64) {
	v := r.voice
	octaves := v.octave
	for n := len(octaves); n > 0 && r.heard[octaves[n-1]] <= r.past; n = len(octaves) { // the treble is gone before the bass
		octaves = octaves[:v.runs[octaves[n-1]]]
	}
	bands, power := v.bands[:len(octaves)], r.power[:len(octaves)]
	for i, b := range bands {
		dst[b] += power[i] * r.factor[octaves[i]&15]
	}
	for o, x := range &v.fade {
		r.factor[o] *= x
	}
	r.past++
}
