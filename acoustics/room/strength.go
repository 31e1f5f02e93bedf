package room

import "math"

// CentreTimeTs is the centre of gravity of the response's energy after the direct sound in an octave band at the
// seat, s (ISO 3382-1, A.2.3), from the path's energies.
func (p *Path) CentreTimeTs(band int) float64 {
	moment := p.Sum(band, func(x Term) float64 { return x.Gain / x.Rate })
	return moment / p.EnergyAfter(band, 0)
}

// StrengthG is the level at the seat of an omnidirectional source re its direct sound at 10 m in a free
// field, dB, in an octave band (ISO 3382-1, A.2.1). It is NaN for a measured room, whose response
// says nothing of sound power.
func (r *Room) StrengthG(p *Path, band int) float64 {
	if r.Measured != nil {
		return math.NaN()
	}
	free := r.intensityToPressure() / (4 * math.Pi * 10 * 10)
	return 10 * math.Log10(p.EnergyAfter(band, 0)/free)
}

// DirectToReverberant is the level of the direct sound re all that follows it at the seat in an octave band, dB.
func (p *Path) DirectToReverberant(band int) float64 {
	late := p.EnergyAfter(band, 0) - p.Direct[band]
	return 10 * math.Log10(p.Direct[band]/late)
}
