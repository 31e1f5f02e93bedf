// Package loudness measures the programme loudness of stereo sound (ITU-R BS.1770-5),
// so that renderings can be compared at equal loudness.
package loudness

import "math"

// Meter gathers the loudness of interleaved stereo samples, 1 being full scale. Its size
// does not grow with the sound.
type Meter struct {
	filter [2][2]biquad // channel, stage
	hop    int          // samples in 100 ms
	n      int
	sum    float64
	recent [4]float64
	hops   int

	// Histogram of the 400 ms blocks above the absolute gate, in steps of stepLU.
	count [bins]int64
	power [bins]float64
}

const (
	absoluteGate = -70.0 // LKFS
	relativeGate = -10.0 // LU re the mean of what passes the absolute gate
	stepLU       = 0.02
	topLUFS      = 30.0
	bins         = int((topLUFS - absoluteGate) / stepLU)
)

// NewMeter returns a meter for sound at rate, Hz.
func NewMeter(rate int) *Meter {
	m := &Meter{hop: max(1, (rate+5)/10)}
	for c := range m.filter {
		m.filter[c] = [2]biquad{headShelf(float64(rate)), lowCut(float64(rate))}
	}
	return m
}

// Add takes interleaved stereo samples.
func (m *Meter) Add(block []float32) {
	for i := 0; i+1 < len(block); i += 2 {
		for c := range 2 {
			f := &m.filter[c]
			y := f[1].step(f[0].step(float64(block[i+c])))
			m.sum += y * y // both channels weigh 1
		}
		if m.n++; m.n == m.hop {
			m.endHop()
		}
	}
}

// endHop closes 100 ms: the last four make a block of 400 ms (overlap 75 %).
func (m *Meter) endHop() {
	m.recent[m.hops%4] = m.sum / float64(m.hop)
	m.sum, m.n = 0, 0
	if m.hops++; m.hops < 4 {
		return
	}
	p := (m.recent[0] + m.recent[1] + m.recent[2] + m.recent[3]) / 4
	l := lkfs(p)
	if !(l > absoluteGate) {
		return
	}
	b := min(bins-1, int((l-absoluteGate)/stepLU))
	m.count[b]++
	m.power[b] += p
}

func lkfs(power float64) float64 { return -0.691 + 10*math.Log10(power) }

// Integrated is the gated loudness so far, LKFS; -Inf where nothing is louder than -70 LKFS.
func (m *Meter) Integrated() float64 {
	mean := func(above float64) float64 {
		n, p := int64(0), 0.0
		for b := range m.count {
			if absoluteGate+(float64(b)+0.5)*stepLU > above {
				n += m.count[b]
				p += m.power[b]
			}
		}
		if n == 0 {
			return math.Inf(-1)
		}
		return lkfs(p / float64(n))
	}
	first := mean(absoluteGate)
	if math.IsInf(first, -1) {
		return first
	}
	return mean(first + relativeGate)
}

// biquad is a second-order filter, transposed direct form II.
type biquad struct{ b0, b1, b2, a1, a2, s1, s2 float64 }

func (f *biquad) step(x float64) float64 {
	y := f.b0*x + f.s1
	f.s1 = f.b1*x - f.a1*y + f.s2
	f.s2 = f.b2*x - f.a2*y
	return y
}

// The standard tabulates both filters at 48 kHz only (Tables 1 and 2). These are the
// analogue prototypes that give its coefficients, put through the bilinear transform at any rate.

// headShelf is stage 1: +4 dB above about 1.7 kHz.
func headShelf(rate float64) biquad {
	const hz, db, q = 1681.974450955533, 3.999843853973347, 0.7071752369554196
	k := math.Tan(math.Pi * hz / rate)
	vh := math.Pow(10, db/20)
	vb := math.Pow(vh, 0.4996667741545416)
	a0 := 1 + k/q + k*k
	return biquad{
		b0: (vh + vb*k/q + k*k) / a0, b1: 2 * (k*k - vh) / a0, b2: (vh - vb*k/q + k*k) / a0,
		a1: 2 * (k*k - 1) / a0, a2: (1 - k/q + k*k) / a0,
	}
}

// lowCut is stage 2, the revised low-frequency B curve.
func lowCut(rate float64) biquad {
	const hz, q = 38.13547087602444, 0.5003270373238773
	k := math.Tan(math.Pi * hz / rate)
	a0 := 1 + k/q + k*k
	return biquad{b0: 1, b1: -2, b2: 1, a1: 2 * (k*k - 1) / a0, a2: (1 - k/q + k*k) / a0}
}
