package sound

import (
	"math"
	"slices"
)

// limiterCeiling is the largest sample let through, -0.1 dBFS.
const limiterCeiling = 0.98855

// limiter scales pressure to samples and holds them below the ceiling. It looks one stretch of grid samples
// ahead, so that its gain has come down in a straight line by the time a peak comes, and
// lets go by 6 dB a second. Where nothing passes the ceiling it changes no sample.
type limiter struct {
	rate    int
	gain    float64   // at the start of held
	held    []float64 // interleaved, scaled, waiting for what follows
	need    float64   // gain that held needs
	highest float64   // sample of held
	out     []float32
	peak    float64
	limited int64 // samples whose gain was below 1
	up      float64
}

func newLimiter(rate int) *limiter {
	return &limiter{rate: rate, gain: 1, need: 1, held: make([]float64, 0, 2*grid),
		up: math.Pow(10, 6./20*grid/float64(max(1, rate)))}
}

// process takes pressure and returns the samples that are ready (valid until the next call).
func (m *limiter) process(l, r []float64, scale float64) []float32 {
	m.out = m.out[:0]
	for at := 0; at < len(l); at += grid {
		to := min(len(l), at+grid)
		peak := scale * max(largest(l[at:to]), largest(r[at:to]))
		need := 1.0
		if peak > limiterCeiling {
			need = limiterCeiling / peak
		}
		m.release(need)
		m.held = m.held[:2*(to-at)]
		right := r[at:to]
		for i, v := range l[at:to] {
			m.held[2*i], m.held[2*i+1] = scale*v, scale*right[i]
		}
		m.need, m.highest = need, peak
	}
	return m.out
}

// release lets the held stretch go, its gain ending where next needs it.
func (m *limiter) release(next float64) {
	n := len(m.held) / 2
	if n == 0 {
		m.gain = next
		return
	}
	to := min(m.need, next, min(1, m.gain*m.up))
	m.out = slices.Grow(m.out, len(m.held))
	if m.gain == 1 && to == 1 { // nothing to hold back
		for _, v := range m.held {
			m.out = append(m.out, float32(v))
		}
		m.peak = max(m.peak, float64(float32(m.highest)))
		return
	}
	step := (to - m.gain) / float64(n)
	g := m.gain
	for i := range n {
		if g < 1 {
			m.limited++
		}
		for _, v := range m.held[2*i : 2*i+2] {
			y := float32(v * g)
			m.peak = max(m.peak, math.Abs(float64(y)))
			m.out = append(m.out, y)
		}
		g += step
	}
	m.gain = to
}

// flush returns the last stretch.
func (m *limiter) flush() []float32 {
	m.out = m.out[:0]
	m.release(1)
	m.held = m.held[:0]
	return m.out
}
