package hearing

import (
	"math"

	"afterchord/acoustics/internal/vector"
)

// Excitation fills dst, one value per band of m, with the excitation re E0 that a
// spectrum causes in the auditory filter at each band's centre, after the outer and
// middle ear (10·lg for dB; ISO 532-2:2017, 7.4). Lengths are m.N.
func (m *Model) Excitation(dst, power []float64, w *Work) {
	m.exciteAlone(power, w)
	for i, e := range w.alone[:len(dst)] {
		dst[i] = float64(e)
	}
}

// Loudness is the loudness, sone, of a spectrum heard with both ears (ISO 532-2:2017).
func (m *Model) Loudness(power []float64, w *Work) float64 {
	m.exciteAlone(power, w)
	m.laws.specifics(w.specific, w.alone)
	return m.loudness(w.specific)
}

// LoudnessMonaural is the loudness, sone, of a spectrum at one ear, the other
// hearing nothing.
func (m *Model) LoudnessMonaural(power []float64, w *Work) float64 {
	return m.Loudness(power, w) / bothEars
}

// Partial is the loudness, sone, with both ears of signal in the presence of
// masker, and its loudness alone (Moore, Glasberg & Baer 1997). Room noise that hides
// the signal belongs to masker. partial is never more than alone.
func (m *Model) Partial(signal, masker []float64, w *Work) (partial, alone float64) {
	m.exciteTogether(signal, masker, nil, w)
	m.spreadAlone(w.signal, w)
	m.laws.partials(w.specific, w.excited, w.masked, w)
	partial = m.loudness(w.specific)
	m.laws.specifics(w.specific, w.alone)
	alone = m.loudness(w.specific)
	return min(partial, alone), alone
}

// Audible reports whether signal is above its masked threshold in masker in at least one filter: E ≥ K·E_N + E_THRQ
// (Moore, Glasberg & Baer 1997).
func (m *Model) Audible(signal, masker []float64, w *Work) bool {
	m.exciteTogether(signal, masker, nil, w)
	for i := range m.width {
		if w.excited[i] >= m.laws.k[i]*w.masked[i]+m.laws.quiet[i] {
			return true
		}
	}
	return false
}

// Keener is an ear whose masked threshold lies db lower: K less db in every filter. Listeners differ by several dB.
func (m *Model) Keener(db float64) *Model {
	keen := *m
	keen.laws.k = make([]float32, len(m.laws.k))
	for i, k := range m.laws.k {
		keen.laws.k[i] = k * float32(math.Pow(10, -db/10))
	}
	return &keen
}

// Beside takes two sounds heard at once in a steady noise (power per band of m, each)
// and gives the loudness, sone, with both ears, of a in the presence of b and the noise,
// of a alone, and of b in the presence of a and the noise. The first two are
// Partial(a, b+noise). The filters are shaped by all three sounds together, so one pass over them
// serves both partial loudnesses; the third value is not held below b's loudness alone.
func (m *Model) Beside(a, b, noise []float64, w *Work) (aBeside, aAlone, bBeside float64) {
	m.Enter(w.signal, a)
	m.Enter(w.masker, b)
	m.Enter(w.noise, noise)
	return m.BesideInside(w.signal, w.masker, w.noise, w)
}

// BesideInside is [Model.Beside] for sounds and a noise as [Model.Enter] gives them.
func (m *Model) BesideInside(a, b, noise []float32, w *Work) (aBeside, aAlone, bBeside float64) {
	m.spreadTogether(a, b, noise, w)
	m.spreadAlone(a, w)
	masker, ofB, alone := w.noise, w.signal, w.masker // their powers are used up
	vector.Add2(masker, w.masked, w.noisy)
	m.laws.partials(w.specific, w.excited, masker, w)
	vector.Add2(masker, w.excited, w.noisy)
	m.laws.partials(ofB, w.masked, masker, w)
	m.laws.specifics(alone, w.alone)
	aBeside, bBeside, aAlone = m.loudnesses(w.specific, ofB, alone)
	return min(aBeside, aAlone), aAlone, bBeside
}

// SpecificPartial fills dst, one value per band, with the partial specific loudness of
// signal in masker, sone per Cam, both ears. A nil masker gives the specific
// loudness of the signal alone.
func (m *Model) SpecificPartial(dst, signal, masker []float64, w *Work) {
	if masker == nil {
		m.exciteAlone(signal, w)
		m.laws.specifics(w.specific, w.alone)
	} else {
		m.exciteTogether(signal, masker, nil, w)
		m.laws.partials(w.specific, w.excited, w.masked, w)
	}
	for k, x := range w.specific[:len(dst)] {
		dst[k] = bothEars * calibration * float64(x)
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
