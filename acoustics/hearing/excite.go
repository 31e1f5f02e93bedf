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
	m.spreadAlone(w)

	total := w.specific // free until the laws
	for i, s := range w.signal {
		total[i] = s + w.masker[i] + w.noise[i]
	}
	m.shapedBy(w, total)
	w.spreading.Fill3(w.excited, w.masked, w.noisy, w.signal, w.masker, w.noise)
	for i, e := range w.excited {
		total[i] = e + w.masked[i] + w.noisy[i]
	}
	m.laws.compress(w.both, total)
}

func (m *Model) spreadAlone(w *Work) {
	m.shapedBy(w, w.signal)
	w.spreading.Fill(w.alone, w.signal)
}

// shapedBy chooses the skirts that a spectrum at the oval window shapes, w.spreading, by the power within the ERB
// about each band.
func (m *Model) shapedBy(w *Work, spectrum []float32) {
	copy(w.total[m.reach:], spectrum)
	vector.Around(w.level, w.total, m.near, 2*m.reach+1)
	most, last := 0, int32(0)
	rows, made := w.spreading.Rows, m.skirts.rows
	for i := range rows {
		l := levelOf(w.level[i])
		most = max(most, l)
		row := made[i*levels+l].Load()
		if row == 0 {
			row = m.skirts.row(i, l)
		}
		rows[i], last = row, max(last, row)
	}
	if int(last)+m.plane > len(w.spreading.Weights) {
		w.spreading.Weights = *m.skirts.weights.Load()
	}
	w.spreading.Reach = m.skirts.reach[most]
}

// levelOf is which of the levels a power per ERB is nearest to.
func levelOf(power float32) int {
	at := int(math.Float32bits(power)>>(23-tableBits)) - leastLevel
	return int(levelTable[max(0, min(len(levelTable)-1, at))])
}

// leastLevel is 0 dB in steps of levelTable.
const leastLevel = 127 << tableBits

// levelTable has the level of each power from 0 dB on, in steps of 1/256 of an octave (a hundredth of a decibel), past the highest.
var levelTable = func() (t [40 << tableBits]uint8) {
	for i := range t {
		lg2 := float32(i>>tableBits) + float32(log2Table[i&(1<<tableBits-1)].log)
		t[i] = uint8(min(levels-1, int(float32(lg2*(dbPerOctave*levelsPerDB))+0.5)))
	}
	return t
}()
