package sound

import (
	"cmp"
	"math"
	"slices"

	"afterchord/voicing"
)

// lanes is how many samples of a sinusoid are computed at a time.
const lanes = 8

// resonator gives a sinusoid, steady or decaying, eight samples at a time: y[i+8] = c·y[i] - d·y[i-8]. In double precision it has
// drifted by less than 1e-7 after the longest loop of the lowest pipe, also where eight samples are nearly a whole number of half periods.
type resonator struct {
	now, before [lanes]float64 // the next eight samples, and the eight before them
	c, d        float64
	n           int // samples to be added
}

// sinusoid is a·r^i·sin(phase + w·i), i from 0 to n-1.
func sinusoid(a, phase, w, r float64, n int) resonator {
	v := resonator{c: 2 * math.Pow(r, lanes) * math.Cos(lanes*w), d: math.Pow(r, 2*lanes), n: n}
	// The first sixteen from two rotations of the middle one, one sample at a time.
	y, x := a*math.Sin(phase), a*math.Sin(phase-w)/r
	c, d := 2*r*math.Cos(w), r*r
	for k := range v.now {
		v.now[k] = y
		y, x = c*y-d*x, y
	}
	x, y = a*math.Sin(phase), a*math.Sin(phase-w)/r
	for k := lanes - 1; k >= 0; k-- {
		v.before[k] = y
		x, y = y, (c*y-x)/d
	}
	return v
}

// advance is the phase of partial N per sample, of so many periods in length samples.
func advance(n, periods, length int) float64 {
	return 2 * math.Pi * math.Mod(float64(periods*n), float64(length)) / float64(length)
}

// steady is the partial with amplitude a.
func steady(q voicing.Partial, a float64, periods, length, n int) resonator {
	return sinusoid(a, q.Phase, advance(q.N, periods, length), 1, n)
}

// notYetRisen appends what is to be added to the steady partial during its rise:
// -(e^(-t/τ) - e^-riseSpan)/(1 - e^-riseSpan) of it.
func notYetRisen(bank []resonator, q voicing.Partial, rate, periods, length int) []resonator {
	n := riseSamples(q, rate)
	if n == 0 {
		return bank
	}
	tau := q.RiseS * float64(rate)
	floor := math.Exp(-float64(n) / tau)
	a := math.Sqrt(2*q.Power) / (1 - floor)
	return append(bank, sinusoid(-a, q.Phase, advance(q.N, periods, length), math.Exp(-1/tau), n),
		steady(q, a*floor, periods, length, n))
}

// ring adds every resonator of bank to dst, two at a time: one alone would wait for its own last samples. bank is sorted and used up.
func ring(dst []float64, bank []resonator) {
	for i := range bank {
		bank[i].n = min(bank[i].n, len(dst))
	}
	slices.SortStableFunc(bank, func(a, b resonator) int { return cmp.Compare(a.n, b.n) })
	for len(bank) > 1 {
		a, b := &bank[0], &bank[1]
		bank = bank[2:]
		at := a.n / lanes * lanes
		ringTwo(dst[:at], a, b)
		ringOne(dst[at:a.n], a)
		ringOne(dst[at:b.n], b)
	}
	if len(bank) > 0 {
		ringOne(dst[:bank[0].n], &bank[0])
	}
}

// ringOne adds v to dst; it is used up where dst is not whole eights.
func ringOne(dst []float64, v *resonator) {
	for len(dst) >= lanes {
		part := dst[:lanes]
		for k := range part {
			y := v.now[k]
			part[k] += y
			v.now[k], v.before[k] = float64(v.c*y)-float64(v.d*v.before[k]), y
		}
		dst = dst[lanes:]
	}
	for k := range dst {
		dst[k] += v.now[k]
	}
}

// ringTwo adds a and b to dst, which is whole eights.
func ringTwo(dst []float64, a, b *resonator) {
	if ringTwoWide(dst, a, b) {
		return
	}
	for len(dst) >= lanes {
		part := dst[:lanes]
		for k := range part {
			y, z := a.now[k], b.now[k]
			part[k] += y + z
			a.now[k], a.before[k] = float64(a.c*y)-float64(a.d*a.before[k]), y
			b.now[k], b.before[k] = float64(b.c*z)-float64(b.d*b.before[k]), z
		}
		dst = dst[lanes:]
	}
}
