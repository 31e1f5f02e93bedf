package sound

import "math"

// levelMeter finds the loudest 125 ms (the time constant 'fast' of IEC 61672-1, here a plain mean), in steps of 25 ms.
type levelMeter struct {
	rate, step int
	sum        float64
	n          int
	recent     [5]float64
	steps      int64
	best       float64
	bestAt     int64
}

func newLevelMeter(rate int) *levelMeter { return &levelMeter{rate: rate, step: max(1, rate/40)} }

func (m *levelMeter) add(l, r []float64) {
	for i := range l {
		m.sum += l[i]*l[i] + r[i]*r[i]
		if m.n++; m.n == m.step {
			m.recent[m.steps%5] = m.sum
			m.steps++
			m.sum, m.n = 0, 0
			total := 0.0
			for _, s := range m.recent {
				total += s
			}
			if total > m.best {
				m.best, m.bestAt = total, max(0, m.steps-5)
			}
		}
	}
}

// loudest is the level in dB SPL, mean over the two channels, and where it begins, s.
func (m *levelMeter) loudest() (db, at float64) {
	return 10 * math.Log10(m.best/float64(2*5*m.step)), float64(m.bestAt) * float64(m.step) / float64(m.rate)
}
