package measure

import (
	"fmt"
	"math"

	"afterchord/acoustics/octave"
)

// How far a band's peak must lie above its noise, dB, for each fit: the 5 dB before it, its range and a margin of 10 dB
// (ISO 3382-1:2009 and ISO 3382-2:2008: 35 dB for T20, 45 dB for T30, from memory; manuals of sound level meters
// give the same sum after ISO 3382). EDT begins at the top.
const (
	rangeEDT = 20.0
	rangeT20 = 35.0
	rangeT30 = 45.0

	leastSpare  = 5.0  // dB of fall left between the lower end of a fit and the noise, our own
	mostClarity = 50.0 // C80 beyond this is no room's, dB
)

// measureBand gives the figures of one band's squared response from the onset on, but for C80 and D50 ([earlyPart]).
func measureBand(energy []float64, rate, band int) Band {
	noise, cross, slope := truncation(energy, rate, band)
	decay := schroeder(energy, rate, noise, cross, slope)
	out := Band{Decay: thinned(decay, rate), met: float64(cross) / float64(len(energy))}
	level, _ := smoothedDB(energy, rate, band)
	peak := math.Inf(-1)
	for _, l := range level {
		peak = max(peak, l)
	}
	out.RangeDB = peak - 10*math.Log10(max(noise, 1e-300))
	if noise <= 0 {
		out.RangeDB = 10 * math.Log10(decay[0]/max(decay[len(decay)-1], 1e-300))
	}
	out.RangeDB = min(out.RangeDB, 200)
	// spare is how far the level still falls, dB, from where the integral has come down to `to` until it meets the noise: a direct sound far over the room's answer
	// makes the peak high and leaves less than the peak promises.
	spare := func(to float64) float64 {
		at := 0
		for at < len(decay) && decay[at] > decay[0]*math.Pow(10, to/10) {
			at++
		}
		return 10 * math.Log10(math.E) * slope * float64(cross-at) / float64(rate)
	}
	fit := func(from, to, need float64) (time, straightness Figure) {
		t, xi := decayFit(decay, rate, from, to)
		if t > longestDecay || t <= 0 {
			t = math.NaN() // no decay at all
		}
		f := Figure{Value: t, Reliable: true}
		bandwidth := octave.Exact(band) / math.Sqrt2
		switch {
		case math.IsNaN(t):
			f.Reliable, f.Why = false, fmt.Sprintf("the decay does not reach %g dB", to)
		case out.RangeDB < need:
			f.Reliable, f.Why = false, fmt.Sprintf("%.0f dB above the noise; needs %g dB", math.Floor(out.RangeDB), need)
		case noise > 0 && spare(to) < leastSpare:
			f.Reliable, f.Why = false, fmt.Sprintf("the decay meets the noise less than %g dB below %g dB", leastSpare, to)
		case bandwidth*t < 8:
			f.Reliable, f.Why = false, "the decay is too short for this band's filter"
		}
		if !math.IsNaN(t) && out.RangeDB < need-10 {
			f.Value, xi = math.NaN(), math.NaN()
		}
		return f, Figure{xi, f.Reliable, f.Why}
	}
	var xi20 Figure
	out.EDT, _ = fit(0, -10, rangeEDT)
	out.T20, xi20 = fit(-5, -25, rangeT20)
	out.T30, out.NonLinearity = fit(-5, -35, rangeT30)
	out.T15.Value = math.NaN()
	if math.IsNaN(out.NonLinearity.Value) {
		out.NonLinearity = xi20
	}
	out.Curvature = curvature(out.T20, out.T30)
	out.early = 100 * (DecayTime(decay, rate, -15, -25)/DecayTime(decay, rate, -5, -15) - 1)
	ratio := Figure{Reliable: out.RangeDB >= 20}
	if !ratio.Reliable {
		ratio.Why = fmt.Sprintf("%.0f dB above the noise; needs 20 dB", math.Floor(out.RangeDB))
	}
	out.C80, out.D50, out.Ts = ratio, ratio, ratio
	if out.RangeDB < 10 { // what is left once the noise is off is chance
		out.C80.Value, out.D50.Value, out.Ts.Value = math.NaN(), math.NaN(), math.NaN()
		return out
	}
	out.total = decay[0]
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
