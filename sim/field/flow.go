package field

import "gonum.org/v1/gonum/floats"

// flow takes the room's decay one frame on and fills now and old with the mean-square
// pressure of what sounds and of what is left over.
func (e *engine) flow(rising [][]float64, now, old []float64) {
	clear(now)
	clear(old)
	for t := range e.h.terms {
		floats.Mul(e.tail[t], e.decay[t])
		floats.Mul(e.residue[t], e.decay[t])
	}
	for _, o := range e.octaves {
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
	direct, box := h.direct[d][o.from:o.to], e.boxes[d][o.index]
	speaking, fading := e.speaking[d][o.from:o.to], e.fading[d][o.from:o.to]
	rising, now, old = rising[o.from:o.to], now[o.from:o.to], old[o.from:o.to]
	for i, p := range rising {
		p = (p + speaking[i]) * box
		q := fading[i] * box
		now[i] += p * direct[i]
		old[i] += q * direct[i]
		rising[i], fading[i] = p+q, q
	}
	for t := range h.terms {
		decay, gain := e.decay[t][o.from:o.to], h.gain[d][o.from:o.to]
		tail, residue := e.tail[t][o.from:o.to], e.residue[t][o.from:o.to]
		for i, p := range rising {
			in := (1 - decay[i]) * gain[i][t]
			tail[i] += in * p
			residue[i] += in * fading[i]
		}
	}
}
