package field

import (
	"math"

	"afterchord/acoustics/octave"
)

// begin starts an ensemble's attack in the frame that begins at t0.
func (e *engine) begin(x edge, t0 float64) {
	c := &e.strokes[x.event]
	phase := int((x.at - t0) / e.step * attackPhases)
	e.rising = append(e.rising, riser{stroke: x.event, ensemble: c.ensemble, table: c.ensemble.begun(min(attackPhases-1, max(0, phase)))})
	c.rising = int32(len(e.rising))
	e.sounding[c.ensemble.division]++
}

// finish shuts pallets: what the pipes have put into the room becomes residue and they themselves fade.
func (e *engine) finish(edge edge, t0 float64) {
	c := &e.strokes[edge.event]
	x, h := c.ensemble, e.h
	heldS := grained(c.offS - c.onS)
	fades, settled := &x.fades, x.settled(heldS)
	g := &e.boxes[x.division].gain
	room := &e.ended
	if settled {
		decayed := e.lapses.after(heldS) // holds until lapses is asked again
		for t := range h.terms {
			for k, wanting := range x.wanting[t] {
				e.ended[t][k] = x.room[t][k] - wanting*decayed[x.from+k][t]
			}
		}
	} else {
		end := e.stopped(x, heldS)
		room, fades = &end.room, &end.fades
	}
	back := e.lapses.after(t0 - edge.at) // from the moment the pallets shut; the step below takes it to the frame's end
	for t := range h.terms {
		residue, room := e.residue[t][x.from:x.to], room[t]
		for k := range residue {
			b := x.from + k
			residue[k] += room[k] * g[h.octaveOf[b]] * back[b][t]
		}
	}
	if rising := int(c.rising) - 1; rising >= 0 {
		e.drop(rising)
	} else {
		speaking := e.speaking[x.division][x.from:x.to]
		for k, p := range x.steady {
			speaking[k] = max(0, speaking[k]-p)
		}
	}
	phase := int((edge.at - t0) / e.step * fadePhases)
	e.releasing = append(e.releasing, releaser{x, e.faded(x, fades, min(fadePhases-1, max(0, phase)), heldS, settled)})
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

// drop removes riser i.
func (e *engine) drop(i int) {
	e.strokes[e.rising[i].stroke].rising = 0
	last := len(e.rising) - 1
	if i != last {
		e.rising[i] = e.rising[last]
		e.strokes[e.rising[i].stroke].rising = int32(i + 1)
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
		x := r.ensemble
		n := len(x.steady)
		if len(r.table) == 0 {
			add(e.speaking[x.division][x.from:x.to], x.steady)
			e.drop(i)
			continue
		}
		add(rising[x.division][x.from:x.to], r.table[:n])
		r.table = r.table[n:]
		i++
	}
	kept := e.releasing[:0]
	for _, r := range e.releasing {
		x := r.ensemble
		if n := len(x.steady); len(r.table) > 0 {
			add(e.fading[x.division][x.from:x.to], r.table[:n])
			kept = append(kept, releaser{x, r.table[n:]})
			continue
		}
		if e.sounding[x.division]--; e.sounding[x.division] == 0 {
			clear(e.speaking[x.division]) // of what rounding left
			clear(e.fading[x.division])
		}
	}
	clear(e.releasing[len(kept):])
	e.releasing = kept
}
