package hearing

import (
	"math"

	"afterchord/acoustics/internal/vector"
)

// atOvalWindow is the outer and middle ear; what excites nothing that is heard goes, and what is no number.
func (m *Model) atOvalWindow(dst []float32, power []float64) {
	power, dst = power[:len(m.transfer)], dst[:len(m.transfer)]
	for i, t := range m.transfer {
		v := power[i] * t
		switch {
		case !(v >= inaudible):
			v = 0
		case v > mostPower:
			v = mostPower
		}
		dst[i] = float32(v)
	}
}

// exciteAlone excites w.alone with one sound.
func (m *Model) exciteAlone(power []float64, w *Work) {
	m.atOvalWindow(w.signal, power)
	m.shapedBy(w, w.signal)
	m.spreadAlone(w)
}

// exciteTogether excites w.excited, w.masked and w.noisy with signal, masker and noise (nil for none)
// through filters that all of them shape, w.alone with the signal through its own; w.both is the law
// of all three together.
func (m *Model) exciteTogether(signal, masker, noise []float64, w *Work) {
	m.atOvalWindow(w.signal, signal)
	m.atOvalWindow(w.masker, masker)
	if noise == nil {
		clear(w.noise)
	} else {
		m.atOvalWindow(w.noise, noise)
	}
	m.shapedBy(w, w.signal)
	m.spreadAlone(w)

	total := w.specific // free until the laws
	for i, s := range w.signal {
		total[i] = s + w.masker[i] + w.noise[i]
	}
	m.shapedBy(w, total)
	clear(w.excited)
	clear(w.masked)
	clear(w.noisy)
	for i := range m.bands {
		if total[i] == 0 {
			continue
		}
		r := m.row(i, w.level[i])
		vector.AddScaled3(w.excited[r.first:], w.masked[r.first:], w.noisy[r.first:], w.signal[i], w.masker[i], w.noise[i], r.weight)
	}
	for i, e := range w.excited {
		total[i] = e + w.masked[i] + w.noisy[i]
	}
	m.laws.compress(w.both, total)
}

func (m *Model) spreadAlone(w *Work) {
	clear(w.alone)
	for i, v := range w.signal[:len(m.bands)] {
		if v == 0 {
			continue
		}
		r := m.row(i, w.level[i])
		vector.AddScaled(w.alone[r.first:], v, r.weight)
	}
}

// shapedBy sets w.level from the spectrum at the oval window that shapes the skirts: the power
// within the ERB about each band.
func (m *Model) shapedBy(w *Work, spectrum []float32) {
	copy(w.total[m.reach:], spectrum)
	vector.Around(w.level, w.total, m.near, 2*m.reach+1)
}

// row is how band i excites the filters where the power within the ERB about it is level.
func (m *Model) row(i int, level float32) *row {
	l := int(lg2(level)*(dbPerOctave*levelsPerDB) + 0.5)
	l = min(levels-1, max(0, l))
	place := &m.rows[i*levels+l]
	r := place.Load()
	if r == nil {
		r = m.skirts.newRow(i, l)
		place.Store(r)
	}
	return r
}

// lg2 is the binary logarithm of a positive normal x to within 0.003 (a hundredth of a decibel).
func lg2(x float32) float32 {
	bits := math.Float32bits(x)
	return float32(int(bits>>23)-127) + lg2Table[bits>>(23-tableBits)&(1<<tableBits-1)]
}

var lg2Table = func() (t [1 << tableBits]float32) {
	for i := range t {
		t[i] = float32(log2Table[i].log)
	}
	return t
}()
