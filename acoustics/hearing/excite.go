package hearing

import (
	"afterchord/acoustics/internal/vector"
)

// Inside is how many values a spectrum has at the oval window: one per band, and zeros behind them that make whole vectors.
func (m *Model) Inside() int { return m.plane }

// Enter takes a spectrum, power per band, through the outer and middle ear: dst, of [Model.Inside] values with zeros behind the bands, is the
// power at the oval window re E0 (ISO 532-2:2017, 7.2 and 7.3). What excites nothing that is heard goes, and what is no number.
func (m *Model) Enter(dst []float32, power []float64) {
	vector.Enter(dst[:len(m.transfer)], power, m.transfer, inaudible, mostPower)
}

// exciteAlone excites w.alone with one sound.
func (m *Model) exciteAlone(power []float64, w *Work) {
	m.Enter(w.signal, power)
	m.spreadAlone(w.signal, w)
}

// exciteTogether excites w.excited, w.masked and w.noisy with signal, masker and noise (nil for none)
// through filters that all of them shape; w.both is the law of all three together. w.signal, w.masker and w.noise are the three at the oval
// window.
func (m *Model) exciteTogether(signal, masker, noise []float64, w *Work) {
	m.Enter(w.signal, signal)
	m.Enter(w.masker, masker)
	if noise == nil {
		clear(w.noise)
	} else {
		m.Enter(w.noise, noise)
	}
	m.spreadTogether(w.signal, w.masker, w.noise, w)
}

// spreadTogether is exciteTogether for what is at the oval window.
func (m *Model) spreadTogether(signal, masker, noise []float32, w *Work) {
	total := w.specific // free until the laws
	vector.Add3(total, signal, masker, noise)
	m.shapedBy(w, total)
	w.spreading.Fill3(w.excited, w.masked, w.noisy, signal, masker, noise)
	vector.Add3(total, w.excited, w.masked, w.noisy)
	m.laws.compress(w.both, total)
}

// spreadAlone excites w.alone with a signal at the oval window through the filters that it shapes itself.
func (m *Model) spreadAlone(signal []float32, w *Work) {
	m.shapedBy(w, signal)
	w.spreading.Fill(w.alone, signal)
}

// shapedBy chooses the skirts that a spectrum at the oval window shapes, w.spreading, by the power within the ERB
// about each band.
func (m *Model) shapedBy(w *Work, spectrum []float32) {
	copy(w.total[m.reach:], spectrum)
	vector.Around(w.level, w.total, m.near, 2*m.reach+1)
	most, all := w.spreading.Choose(w.level, m.skirts.rows)
	if !all {
		m.skirts.make(w.level[:len(m.bands)])
		most, _ = w.spreading.Choose(w.level, m.skirts.rows)
	}
	if w.spreading.Greatest()+m.plane > len(w.spreading.Weights) {
		w.spreading.Weights = *m.skirts.weights.Load()
	}
	w.spreading.Reach = m.skirts.reach[most]
}
