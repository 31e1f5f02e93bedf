package hearing

import "math"

// Excitation fills dst, one value per band of m, with the excitation re E0 that a
// spectrum causes in the auditory filter at each band's centre, after the outer and
// middle ear (10·lg for dB; ISO 532-2:2017, 7.4). Lengths are m.N.
func (m *Model) Excitation(dst, power []float64, w *Work) {
	m.atOvalWindow(w.signal, power)
	m.excite(dst, w.signal)
}

// atOvalWindow is the outer and middle ear.
func (m *Model) atOvalWindow(dst, power []float64) {
	power, transfer := power[:len(dst)], m.transfer[:len(dst)]
	for i := range dst {
		dst[i] = power[i] * transfer[i]
	}
}

// row finds how band i excites the filters when the spectrum at the oval window is total.
func (m *Model) row(total []float64, i int) *row {
	near := m.near[i]
	reach := len(near) / 2
	sum := 0.0
	if i >= reach && i+reach < len(total) {
		around := total[i-reach : i+reach+1][:len(near)]
		for d, v := range near {
			sum += v * around[d]
		}
	} else {
		for j := max(0, i-reach); j <= min(len(total)-1, i+reach); j++ {
			sum += near[j-i+reach] * total[j]
		}
	}
	level := int(coarseLog2(sum)*(dbPerOctave*levelsPerDB) + 0.5)
	return &m.rows[i*levels+min(levels-1, max(0, level))]
}

func (m *Model) excite(dst, p []float64) {
	clear(dst)
	for i, v := range p {
		if v < inaudible {
			continue
		}
		r := m.row(p, i)
		addScaled(dst[r.first:], v, r.weight)
	}
}

// exciteBoth excites with a signal and a masker through filters that both shape.
func (m *Model) exciteBoth(w *Work) {
	clear(w.excited)
	clear(w.masked)
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
	}
}

// Loudness is the loudness, sone, of a spectrum heard with both ears (ISO 532-2:2017).
func (m *Model) Loudness(power []float64, w *Work) float64 {
	return bothEars * m.LoudnessMonaural(power, w)
}

// LoudnessMonaural is the loudness, sone, of a spectrum at one ear, the other
// hearing nothing.
func (m *Model) LoudnessMonaural(power []float64, w *Work) float64 {
	m.Excitation(w.alone, power, w)
	return calibration * m.sumAlone(w)
}

func (m *Model) sumAlone(w *Work) float64 {
	sum := 0.0
	for k, e := range w.alone {
		if e > 1e-6 {
			sum += m.width[k] * m.places[k].specific(e)
		}
	}
	return sum
}

// Partial is the loudness, sone, with both ears of signal in the presence of
// masker, and its loudness alone (Moore, Glasberg & Baer 1997). Room noise that hides
// the signal belongs to masker. partial is never more than alone.
func (m *Model) Partial(signal, masker []float64, w *Work) (partial, alone float64) {
	m.prepare(signal, masker, w)
	for k, s := range w.excited {
		if s > 1e-6 {
			partial += m.width[k] * m.places[k].partial(s, w.masked[k])
		}
	}
	alone = m.sumAlone(w)
	return min(partial, alone) * (bothEars * calibration), alone * (bothEars * calibration)
}

func (m *Model) prepare(signal, masker []float64, w *Work) {
	m.atOvalWindow(w.signal, signal)
	m.atOvalWindow(w.masker, masker)
	for i, s := range w.signal {
		w.total[i] = s + w.masker[i]
	}
	m.excite(w.alone, w.signal)
	m.exciteBoth(w)
}

// SpecificPartial fills dst, one value per band, with the partial specific loudness of
// signal in masker, sone per Cam, both ears. A nil masker gives the specific
// loudness of the signal alone.
func (m *Model) SpecificPartial(dst, signal, masker []float64, w *Work) {
	if masker == nil {
		m.Excitation(w.alone, signal, w)
		for k, e := range w.alone {
			dst[k] = bothEars * calibration * m.places[k].specific(e)
		}
		return
	}
	m.prepare(signal, masker, w)
	for k, s := range w.excited {
		dst[k] = bothEars * calibration * m.places[k].partial(s, w.masked[k])
	}
}

// HeardShare is how much of the loudness of now is left in the presence of residue:
// partial loudness over loudness alone, 0 to 1. A sound that is itself inaudible has
// share 0.
func (m *Model) HeardShare(now, residue []float64, w *Work) float64 {
	return PartialShare(m.Partial(now, residue, w))
}

// PartialShare is partial over alone, 0 where alone is below the loudness at threshold.
func PartialShare(partial, alone float64) float64 {
	if alone < thresholdSone {
		return 0
	}
	return min(1, max(0, partial/alone))
}

// thresholdSone is the loudness at the threshold of hearing: that of 2.2 phon
// (ISO 532-2:2017, Table 5).
const thresholdSone = 0.004

// Phon is the loudness level of a loudness in sone (ISO 532-2:2017, Table 5, linear in
// lg sone between rows; beyond 120 phon its last slope is carried on, below 0.001 sone it is 0).
func Phon(sone float64) float64 {
	t := phonTable
	if !(sone > t[0].sone) {
		return 0
	}
	i := 1
	for i < len(t)-1 && t[i].sone < sone {
		i++
	}
	a, b := t[i-1], t[i]
	return a.phon + (b.phon-a.phon)*math.Log(sone/a.sone)/math.Log(b.sone/a.sone)
}

// Sone is the loudness of a loudness level in phon, the inverse of Phon.
func Sone(phon float64) float64 {
	t := phonTable
	if !(phon > 0) {
		return 0
	}
	i := 1
	for i < len(t)-1 && t[i].phon < phon {
		i++
	}
	a, b := t[i-1], t[i]
	return a.sone * math.Pow(b.sone/a.sone, (phon-a.phon)/(b.phon-a.phon))
}
