package field

// lanes is how many values of a plane go through one instruction.
const lanes = 4

// planes cuts rows of a value per auditory band out of one piece, each with zeros up to a whole number of lanes behind it.
func planes(bands, rows int) func() []float64 {
	padded := (bands + lanes - 1) &^ (lanes - 1)
	next := rowsOf(padded, rows)
	return func() []float64 { return next()[:bands] }
}

// flow takes the room's decay one frame on and fills now and old, which are planes, with the mean-square
// pressure of what sounds and of what is left over.
func (e *engine) flow(lacking [][]float64, now, old []float64) {
	clear(now)
	clear(old)
	for t := range e.h.terms {
		weaken(e.tail[t], e.decay[t])
		weaken(e.residue[t], e.decay[t])
	}
	for d := range lacking {
		if e.sounding[d] > 0 { // what goes into the room takes the place of what made it
			drive(now, old, lacking[d], e.fading[d], e.speaking[d], e.opening[d].gain, e.opening[d].aim, e.direct[d])
			for t := range e.h.terms {
				pour(e.tail[t], e.residue[t], e.filling[d][t], lacking[d], e.fading[d])
			}
		}
	}
	for t := range e.h.terms {
		part(now, old, e.tail[t], e.residue[t])
	}
}

// opening is a box as it stands, in planes.
type opening struct{ gain, aim []float64 }

// set takes what a box is in each octave band to the auditory bands.
func (o *opening) set(h *Hall, box *boxState) {
	for b, octave := range h.octaveOf {
		o.gain[b], o.aim[b] = box.gain[octave], box.aim[octave]
	}
}

// Each of the loops below has a twin in vector instructions that gives the same bits: products are rounded before they are
// added.

// weakenGo weakens each of x by its factor.
func weakenGo(x, by []float64) {
	for i, v := range by {
		x[i] *= v
	}
}

// driveGo adds the direct sound of the pipes that sound to now and of those that fade to old. lacking becomes all that goes into the
// room, and fading the part of it from pipes that fade.
func driveGo(now, old, lacking, fading, speaking, gain, aim, direct []float64) {
	for i, d := range direct {
		p, q := max(0, speaking[i]-lacking[i])*gain[i], fading[i]*gain[i]
		now[i] += float64(p * d * aim[i])
		old[i] += float64(q * d * aim[i])
		lacking[i], fading[i] = p+q, q
	}
}

// pourGo puts into a decay of the room what goes into it, and into its residue what of it is left over.
func pourGo(tail, residue, filling, in, left []float64) {
	for i, v := range filling {
		tail[i] += float64(v * in[i])
		residue[i] += float64(v * left[i])
	}
}

// partGo parts a decay into what belongs to pipes that sound and what is left over.
func partGo(now, old, tail, residue []float64) {
	for i, v := range tail {
		left := min(residue[i], v)
		old[i] += left
		now[i] += v - left
	}
}
