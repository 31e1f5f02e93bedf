package acoustics

import (
	"fmt"
	"math"
)

// measureBand gives the figures of one band's squared response from the onset on.
func measureBand(energy []float64, rate, band int) BandMeasures {
	noise, cross, slope := truncation(energy, rate, band)
	decay := schroeder(energy, rate, noise, cross, slope)
	var out BandMeasures
	level, step := smoothedDB(energy, rate, band)
	_ = step
	peak := math.Inf(-1)
	for _, l := range level {
		peak = max(peak, l)
	}
	out.RangeDB = peak - 10*math.Log10(max(noise, 1e-300))
	if noise <= 0 {
		out.RangeDB = 10 * math.Log10(decay[0]/max(decay[len(decay)-1], 1e-300))
	}
	out.RangeDB = min(out.RangeDB, 200)
	fit := func(from, to, need float64) Figure {
		t := decayTime(decay, rate, from, to)
		f := Figure{Value: t, Reliable: true}
		bandwidth := exactCentre(band) / math.Sqrt2
		switch {
		case math.IsNaN(t):
			f.Reliable, f.Why = false, fmt.Sprintf("the decay does not reach %g dB", to)
		case out.RangeDB < need:
			f.Reliable, f.Why = false, fmt.Sprintf("%.0f dB above the noise; needs %g dB", out.RangeDB, need)
		case bandwidth*t < 8:
			f.Reliable, f.Why = false, "the decay is too short for this band's filter"
		}
		if !math.IsNaN(t) && out.RangeDB < need-10 {
			f.Value = math.NaN()
		}
		return f
	}
	out.EDT = fit(0, -10, 20)
	out.T20 = fit(-5, -25, 35)
	out.T30 = fit(-5, -35, 45)
	early := func(t float64) float64 {
		i := min(int(t*float64(rate)), len(decay)-1)
		return decay[i]
	}
	ratio := Figure{Reliable: out.RangeDB >= 20}
	if !ratio.Reliable {
		ratio.Why = fmt.Sprintf("%.0f dB above the noise; needs 20 dB", out.RangeDB)
	}
	out.C80, out.D50, out.Ts = ratio, ratio, ratio
	if out.RangeDB < 10 { // what is left once the noise is off is chance
		out.C80.Value, out.D50.Value, out.Ts.Value = math.NaN(), math.NaN(), math.NaN()
		return out
	}
	out.C80.Value = 10 * math.Log10((decay[0]-early(0.08))/max(early(0.08), 1e-300))
	out.D50.Value = 1 - early(0.05)/decay[0]
	var moment float64 // ∫t·e dt / ∫e dt = ∫decay dt / decay(0)
	for _, d := range decay {
		moment += d
	}
	if slope > 0 {
		moment += decay[len(decay)-1] * float64(rate) / slope
	}
	out.Ts.Value = moment / decay[0] / float64(rate)
	return out
}
