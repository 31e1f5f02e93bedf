package field

// flow takes the room's decay one frame on and fills now and old with the mean-square
// pressure of what sounds and of what is left over.
func (e *engine) flow(lacking [][]float64, now, old []float64) {
	clear(now)
	clear(old)
	for t := range e.h.terms {
		decay := e.decay[t]
		tail, residue := e.tail[t][:len(decay)], e.residue[t][:len(decay)]
		for b, d := range decay {
			tail[b] *= d
			residue[b] *= d
		}
	}
	for d := range lacking {
		if e.sounding[d] > 0 {
			e.drive(d, lacking[d], now, old)
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

// drive puts what the pipes of a division give in one frame into the room. lacking and e.fading are
// used up: they hold what goes into it.
func (e *engine) drive(d int, lacking, now, old []float64) {
	n := len(lacking)
	direct, speaking, fading := e.h.direct[d][:n], e.speaking[d][:n], e.fading[d][:n]
	now, old = now[:n], old[:n]
	for _, o := range e.h.octaves {
		box, aim := e.boxes[d].gain[o.index], e.boxes[d].aim[o.index]
		for i := o.from; i < o.to; i++ {
			p, q := max(0, speaking[i]-lacking[i])*box, fading[i]*box
			now[i] += p * direct[i] * aim
			old[i] += q * direct[i] * aim
			lacking[i], fading[i] = p+q, q
		}
	}
	for t := range e.h.terms {
		filling := e.filling[d][t][:n]
		tail, residue := e.tail[t][:n], e.residue[t][:n]
		for i, in := range filling {
			tail[i] += in * lacking[i]
			residue[i] += in * fading[i]
		}
	}
}
