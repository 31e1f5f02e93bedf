package room

import "math"

// EnergyAfter is the share-free energy of the path's response after t s, in one octave band.
func (p *Path) EnergyAfter(band int, t float64) float64 {
	sum := 0.0
	if t <= 0 {
		sum = p.Direct[band]
		t = 0
	}
	return sum + p.Sum(band, func(x Term) float64 { return x.Gain * math.Exp(-x.Rate*t) })
}

// ClarityC80 is the early-to-late ratio at 80 ms in an octave band at the seat, dB (ISO
// 3382-1, A.2.3), from the path's energies.
func (p *Path) ClarityC80(band int) float64 {
	late := p.EnergyAfter(band, 0.08)
	return 10 * math.Log10((p.EnergyAfter(band, 0)-late)/late)
}

// DefinitionD50 is the share of the energy within 50 ms in an octave band (ISO 3382-1, A.2.3).
func (p *Path) DefinitionD50(band int) float64 {
	return 1 - p.EnergyAfter(band, 0.05)/p.EnergyAfter(band, 0)
}

// filtered is what an octave filter hears of the path: the energy of the direct sound and the exponentials of the rest.
func (p *Path) filtered(band int) (direct float64, tail []Term) {
	if p.fine == nil {
		return p.Direct[band], p.Tail[band]
	}
	f := &lineFilters()[band]
	tail = make([]Term, 0, 2*maxSlopes*len(f.power))
	for i, w := range f.power {
		line := f.first + i
		direct += w * p.fine.direct[line]
		for s := range p.fine.decay.slopes {
			x := p.fine.tail[s][line]
			tail = append(tail, Term{w * x.Gain, x.Rate})
			if p.fine.lacks(s) {
				y := p.fine.missing(s, x)
				tail = append(tail, Term{w * y.Gain, y.Rate})
			}
		}
	}
	return direct, tail
}

// energyLeft is what the exponentials hold after t s.
func energyLeft(tail []Term, t float64) (sum float64) {
	for _, x := range tail {
		sum += x.Gain * math.Exp(-x.Rate*t)
	}
	return sum
}

// EarlyDecayTime is the time that a straight line through the first 10 dB of the decay curve, as an octave filter hears it,
// takes to fall by 60 dB, in an octave band, s (ISO 3382-1, A.2.2): least squares over 0 to -10 dB.
func (p *Path) EarlyDecayTime(band int) float64 {
	direct, tail := p.filtered(band)
	total := direct + energyLeft(tail, 0)
	if total <= 0 {
		return 0
	}
	end := 0.0 // where the curve passes -10 dB
	lo, hi := 0.0, 60.0
	for range 42 { // to a hundredth of a nanosecond
		end = (lo + hi) / 2
		if energyLeft(tail, end) > total*0.1 {
			lo = end
		} else {
			hi = end
		}
	}
	if end < 1e-3 {
		return 0 // the direct sound alone is more than nine tenths
	}
	const n = 200
	left, falls := make([]float64, len(tail)), make([]float64, len(tail)) // of each exponential, and what a step leaves of it
	for i, x := range tail {
		left[i], falls[i] = x.Gain*math.Exp(-x.Rate*end*0.5/n), math.Exp(-x.Rate*end/n)
	}
	var sx, sy, sxx, sxy float64
	for i := range n {
		x, energy := end*(float64(i)+0.5)/n, 0.0
		for k, v := range left {
			energy += v
			left[k] = v * falls[k]
		}
		y := 10 * math.Log10(energy/total)
		sx, sy, sxx, sxy = sx+x, sy+y, sxx+x*x, sxy+x*y
	}
	slope := (n*sxy - sx*sy) / (n*sxx - sx*sx)
	if slope >= 0 {
		return 0
	}
	return -60 / slope
}
