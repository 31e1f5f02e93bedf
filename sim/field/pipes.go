package field

import (
	"math"
	"slices"
)

// queue has a stroke begin and end in its time.
func (e *engine) queue(stroke int) {
	s := &e.strokes[stroke]
	delay := e.h.Paths[s.ensemble.division].DelayS
	if !s.begun {
		e.starts.push(edge{s.onS + s.ensemble.first + delay, int32(stroke)})
	}
	e.ends.push(edge{s.offS + delay, int32(stroke)})
}

// live lists the strokes whose pallets have not shut, in order.
func (e *engine) live() []int32 {
	out := make([]int32, len(e.ends))
	for i, x := range e.ends {
		out[i] = x.event
	}
	slices.Sort(out)
	return out
}

// settleFrames is how many frames pass until the state is settled again: a second.
const settleFrames = 50

// settle has what is to come depend on what sounds and rings alone, and not on how it came about: what speaks is summed anew, and what is in
// the room is rounded to 12 figures, so that two runs that have gone different ways come together once the difference has died away.
func (e *engine) settle() {
	e.sumSpeaking()
	for t := range e.h.terms {
		rounded(e.tail[t])
		rounded(e.residue[t])
	}
}

// sumSpeaking sums the power of the pipes that speak.
func (e *engine) sumSpeaking() {
	for d := range e.speaking {
		clear(e.speaking[d])
	}
	for _, i := range e.live() {
		if s := &e.strokes[i]; s.begun {
			x := s.ensemble
			add(e.speaking[x.division][x.from:x.to], x.steady)
		}
	}
}

// begin starts an ensemble's attack in the frame that begins at t0.
func (e *engine) begin(x edge, t0 float64) {
	c := &e.strokes[x.event]
	phase := min(attackPhases-1, max(0, int((x.at-t0)/e.step*attackPhases)))
	e.rising = append(e.rising, riser{stroke: x.event, ensemble: c.ensemble, phase: phase, table: c.ensemble.begun(phase)})
	c.rising, c.begun = int32(len(e.rising)), true
	add(e.speaking[c.ensemble.division][c.ensemble.from:c.ensemble.to], c.ensemble.steady)
	e.sounding[c.ensemble.division]++
}

// finish shuts pallets: what the pipes have put into the room becomes residue and they themselves fade.
func (e *engine) finish(edge edge, t0 float64) {
	c := &e.strokes[edge.event]
	x, h := c.ensemble, e.h
	heldS := grained(c.offS - c.onS)
	release := &x.release
	g := &e.boxes[x.division].gain
	room := &e.ended
	if x.settled(heldS) {
		decayed := e.lapses.after(heldS) // holds until lapses is asked again
		for t := range h.terms {
			for k, wanting := range x.wanting[t] {
				e.ended[t][k] = x.room[t][k] - wanting*decayed[x.from+k][t]
			}
		}
	} else {
		end := h.stopped(x, heldS, e.lapses)
		room, release = &end.room, &end.release
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
	}
	takeAway(e.speaking[x.division][x.from:x.to], x.steady)
	e.releasing = append(e.releasing, releaser{x, release, release.after(max(0, t0+e.step/2-edge.at))})
}

// takeAway takes the power of pipes that stop from the sum of those that speak. What then is left 120 dB below them
// or more is rounding: they were the last.
func takeAway(speaking, steady []float64) {
	for k, p := range steady {
		if speaking[k] -= p; speaking[k] < 1e-12*p {
			speaking[k] = 0
		}
	}
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

// sum fills lacking with what the pipes in attack lack of their steady power, and fading with the pipes in release.
func (e *engine) sum(lacking [][]float64) {
	for d := range lacking {
		if e.sounding[d] > 0 {
			clear(lacking[d])
			clear(e.fading[d])
		}
	}
	for i := 0; i < len(e.rising); {
		r := &e.rising[i]
		x := r.ensemble
		if len(r.table) == 0 {
			e.drop(i)
			continue
		}
		lacks := r.table[0]
		add(lacking[x.division][x.from:x.from+len(lacks)], lacks)
		r.table = r.table[1:]
		i++
	}
	kept := e.releasing[:0]
	for i := range e.releasing {
		r := &e.releasing[i]
		if e.fade(r) {
			kept = append(kept, *r)
			continue
		}
		x := r.ensemble
		if e.sounding[x.division]--; e.sounding[x.division] == 0 {
			clear(e.speaking[x.division]) // of what rounding left
			clear(e.fading[x.division])
		}
	}
	clear(e.releasing[len(kept):])
	e.releasing = kept
}

// fade adds what r gives in a frame to fading and takes it on to the next; false where nothing was left of it.
func (e *engine) fade(r *releaser) (sounds bool) {
	x := r.ensemble
	fading := e.fading[x.division]
	for _, o := range e.h.octaves {
		left := r.left[o.index]
		from, to := max(o.from, x.from), min(o.to, x.to)
		if left == 0 || from >= to {
			continue
		}
		sounds = true
		power := r.release.power[from-x.from : to-x.from]
		for k, p := range power {
			fading[from+k] += p * left
		}
		if left *= r.release.left[o.index]; left <= r.release.least[o.index] {
			left = 0
		}
		r.left[o.index] = left
	}
	return sounds
}

// rounded rounds powers to 40 binary digits.
func rounded(x []float64) {
	const half, rest = 1 << 11, 1<<12 - 1
	for i, v := range x {
		x[i] = math.Float64frombits((math.Float64bits(v) + half) &^ rest)
	}
}
