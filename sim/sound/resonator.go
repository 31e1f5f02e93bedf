package sound

import (
	"cmp"
	"math"
	"slices"

	"afterchord/voicing"
)

// resonator gives a sinusoid, steady or decaying, by y[i+1] = c·y[i] - d·y[i-1]. In double precision it has
// drifted by less than 1e-8 after the longest loop of the lowest pipe.
type resonator struct {
	now, before float64
	c, d        float64
	n           int // samples to be added
}

// sinusoid is a·r^i·sin(phase + w·i), i from 0 to n-1.
func sinusoid(a, phase, w, r float64, n int) resonator {
	return resonator{a * math.Sin(phase), a * math.Sin(phase-w) / r, 2 * r * math.Cos(w), r * r, n}
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

// ring adds every resonator of bank to dst, four at a time: one alone would wait for its own
// last sample. bank is sorted and used up.
func ring(dst []float64, bank []resonator) {
	for i := range bank {
		bank[i].n = min(bank[i].n, len(dst))
	}
	slices.SortStableFunc(bank, func(a, b resonator) int { return cmp.Compare(a.n, b.n) })
	for len(bank) > 0 {
		four := bank[:min(4, len(bank))]
		bank = bank[len(four):]
		at := 0
		if len(four) == 4 {
			at = four[0].n
			ringFour(dst[:at], four)
		}
		for i := range four {
			ringOne(dst[at:four[i].n], &four[i])
		}
	}
}

func ringOne(dst []float64, v *resonator) {
	y, x := v.now, v.before
	for i := range dst {
		dst[i] += y
		y, x = v.c*y-v.d*x, y
	}
	v.now, v.before = y, x
}

func ringFour(dst []float64, v []resonator) {
	v = v[:4]
	y0, y1, y2, y3 := v[0].now, v[1].now, v[2].now, v[3].now
	x0, x1, x2, x3 := v[0].before, v[1].before, v[2].before, v[3].before
	c0, c1, c2, c3 := v[0].c, v[1].c, v[2].c, v[3].c
	d0, d1, d2, d3 := v[0].d, v[1].d, v[2].d, v[3].d
	for i := range dst {
		dst[i] += y0 + y1 + (y2 + y3)
		y0, x0 = c0*y0-d0*x0, y0
		y1, x1 = c1*y1-d1*x1, y1
		y2, x2 = c2*y2-d2*x2, y2
		y3, x3 = c3*y3-d3*x3, y3
	}
	v[0].now, v[1].now, v[2].now, v[3].now = y0, y1, y2, y3
	v[0].before, v[1].before, v[2].before, v[3].before = x0, x1, x2, x3
}
