package field

import "gonum.org/v1/gonum/floats"

// flow takes the room's decay one frame on and fills now and old with the mean-square
// pressure of what sounds and of what is left over.
func (e *engine) flow(rising [][]float64, now, old []float64) {
	clear(now)
	clear(old)
	for _, o := range e.octaves {
		for t := range e.h.terms {
			floats.Scale(e.decay[t][o.index], e.tail[t][o.from:o.to])
			floats.Scale(e.decay[t][o.index], e.residue[t][o.from:o.to])
		}
		for d := range rising {
			if e.sounding[d] > 0 {
				e.drive(d, o, rising[d], now, old)
			}
		}
	}
	for t := range e.h.terms {
		tail, residue := e.tail[t][:len(now)], e.residue[t][:len(now)]
		for b := range now {
			left := min(residue[b], tail[b])
			old[b] += left
			now[b] += tail[b] - left
		}
	}
}

// drive puts what the pipes of a division give in one frame into the bands of an octave. rising and e.fading are
// used up: they hold what goes into the room.
func (e *engine) drive(d int, o octaveRun, rising, now, old []float64) {
	h := e.h
	direct, box := h.Paths[d].Direct[o.index], e.boxes[d][o.index]
	speaking, fading := e.speaking[d][o.from:o.to], e.fading[d][o.from:o.to]
	rising, now, old = rising[o.from:o.to], now[o.from:o.to], old[o.from:o.to]
	for i, p := range rising {
		p = (p + speaking[i]) * box
		q := fading[i] * box
		now[i] += p * direct
		old[i] += q * direct
		rising[i], fading[i] = p+q, q
	}
	for t := range h.terms {
		in := (1 - e.decay[t][o.index]) * h.gain[d][o.index][t]
		tail, residue := e.tail[t][o.from:o.to], e.residue[t][o.from:o.to]
		for i, p := range rising {
			tail[i] += in * p
			residue[i] += in * fading[i]
		}
	}
}
