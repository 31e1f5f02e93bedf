package hearing

import (
	"afterchord/acoustics/internal/vector"
)

// atOvalWindow is the outer and middle ear; what excites nothing that is heard goes, and what is no number.
func (m *Model) atOvalWindow(dst []float32, power []float64) {
	vector.Enter(dst[:len(m.transfer)], power, m.transfer, inaudible, mostPower)
}

// exciteAlone excites w.alone with one sound.
func (m *Model) exciteAlone(power []float64, w *Work) {
	m.atOvalWindow(w.signal, power)
	m.spreadAlone(w)
}

// exciteTogether excites w.excited, w.masked and w.noisy with signal, masker and noise (nil for none)
// through filters that all of them shape; w.both is the law of all three together.
func (m *Model) exciteTogether(signal, masker, noise []float64, w *Work) {
	m.atOvalWindow(w.signal, signal)
	m.atOvalWindow(w.masker, masker)
	if noise == nil {
		clear(w.noise)
	} else {
		m.atOvalWindow(w.noise, noise)
	}
	total := w.specific // free until the laws
	vector.Add3(total, w.signal, w.masker, w.noise)
	m.shapedBy(w, total)
	w.spreading.Fill3(w.excited, w.masked, w.noisy, w.signal, w.masker, w.noise)
	vector.Add3(total, w.excited, w.masked, w.noisy)
	m.laws.compress(w.both, total)
}

// spreadAlone excites w.alone with the signal through the filters that it shapes itself.
func (m *Model) spreadAlone(w *Work) {
	m.shapedBy(w, w.signal)
	w.spreading.Fill(w.alone, w.signal)
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
