package hearing

import "gonum.org/v1/gonum/floats"

// Beside takes two sounds heard at once in a steady noise (power per band of m, each)
// and gives the loudness, sone, with both ears, of a in the presence of b and the noise,
// of a alone, and of b in the presence of a and the noise. The first two are
// Partial(a, b+noise). The filters are shaped by all three sounds together, so one pass over them
// serves both partial loudnesses; the third value is not held below b's loudness alone.
func (m *Model) Beside(a, b, noise []float64, w *Work) (aBeside, aAlone, bBeside float64) {
	m.atOvalWindow(w.signal, a)
	m.atOvalWindow(w.masker, b)
	m.atOvalWindow(w.third, noise)
	for i, s := range w.signal {
		w.total[i] = s + w.masker[i] + w.third[i]
	}
	m.excite(w.alone, w.signal)
	m.exciteThree(w)
	for k, t := range w.noisy {
		p := &m.places[k]
		sa, sb := w.excited[k], w.masked[k]
		both := -1.0 // law of all that excites the place, made once
		if sa > 1e-6 {
			x := p.partialOf(sa, sb+t, &both)
			aBeside += m.width[k] * x
		}
		if sb > 1e-6 {
			bBeside += m.width[k] * p.partialOf(sb, sa+t, &both)
		}
	}
	aAlone = m.sumAlone(w)
	const scale = bothEars * calibration
	return min(aBeside, aAlone) * scale, aAlone * scale, bBeside * scale
}

// drowned is the share of all the power in a band below which the noise there is left out.
const drowned = 1e-6

// exciteThree excites with signal, masker and noise through filters that all three shape.
func (m *Model) exciteThree(w *Work) {
	clear(w.excited)
	clear(w.masked)
	clear(w.noisy)
	for i, v := range w.total {
		if v < inaudible {
			continue
		}
		r := m.row(w.total, i)
		if s := w.signal[i]; s >= inaudible {
			addScaled(w.excited[r.first:], s, r.weight)
		}
		if s := w.masker[i]; s >= inaudible {
			addScaled(w.masked[r.first:], s, r.weight)
		}
		if s := w.third[i]; s >= max(inaudible, drowned*v) {
			addScaled(w.noisy[r.first:], s, r.weight)
		}
	}
}

// addScaled is dst += s·x over the length of x.
func addScaled(dst []float64, s float64, x []float64) {
	f := dst[:len(x)]
	floats.AddScaled(f, s, x)
}
