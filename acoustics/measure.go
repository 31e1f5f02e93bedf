package acoustics

import (
	"errors"
	"fmt"
	"math"

	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/octave"
)

// Figure is one figure of a response with its reliability mark.
type Figure struct {
	Value    float64
	Reliable bool
	Why      string // why it is not reliable, or could not be given (Value NaN)
}

// BandMeasures are the figures of one octave band (ISO 3382-1:2009, 5.3 and A.2).
type BandMeasures struct {
	RangeDB           float64 // from the highest level down to the noise, dB
	EDT, T20, T30, Ts Figure  // s
	C80               Figure  // dB
	D50               Figure  // 0..1
}

// RT is the best reverberation time the band has: T30, else T20, else EDT.
func (m BandMeasures) RT() Figure {
	for _, f := range []Figure{m.T30, m.T20, m.EDT} {
		if f.Reliable {
			return f
		}
	}
	for _, f := range []Figure{m.T30, m.T20, m.EDT} {
		if !math.IsNaN(f.Value) {
			return f
		}
	}
	return m.EDT
}

// Measures are the figures of a response.
type Measures struct {
	OnsetS  float64 // where the direct sound stands in the recording, s
	Clipped bool
	Bands   [octave.N]BandMeasures
}

// Errors that [Measure] returns for what cannot be measured at all.
var (
	ErrSilent   = errors.New("the response is silent")
	ErrTooShort = errors.New("the response is too short to measure (less than 50 ms after the onset)")
)

// analysisCrossover is the width of the octave filter's flanks, octaves; all lie within class 1 of IEC
// 61260-1. In the bass the flanks are wider, so that the filter itself rings less; above, narrower, so that a slower
// neighbour lengthens the decay less.
func analysisCrossover(band int) float64 {
	switch {
	case band < 3:
		return 0.5
	case band < 6:
		return 0.25
	}
	return 0.125
}

// OctaveGain is the amplitude response at hz of the zero-phase octave filter that [Measure] uses.
func OctaveGain(band int, hz float64) float64 {
	if hz <= 0 {
		return 0
	}
	x := math.Log2(hz/1000) - float64(band-5)
	w := analysisCrossover(band)
	if math.Abs(x) <= 0.5-w/2 {
		return 1
	}
	return math.Sin(crossover((x+0.5)/w)) * math.Cos(crossover((x-0.5)/w))
}

// Measure measures an impulse response sampled at rate (Hz) per octave band. The
// onset is the first sample within 20 dB of the peak (ISO 3382-1, 5.3.4). In each band
// the noise is estimated, taken off, and the backward integration is stopped where the decay meets it and
// completed with the exponential that the late decay points to (ISO 3382-1, 5.3.3; Lundeby
// et al., Acustica 81 (1995) 344). A figure whose band has too little range above the
// noise (T30 45 dB, T20 35 dB, EDT 20 dB) is marked.
func Measure(ir []float64, rate int) (Measures, error) {
	return measure(ir, rate, false)
}

func measure(ir []float64, rate int, interrupted bool) (Measures, error) {
	var out Measures
	onset, err := findOnset(ir, rate)
	if err != nil {
		return out, err
	}
	out.OnsetS = float64(onset) / float64(rate)
	out.Clipped = clipped(ir)
	pad := rate / 5
	n := fastLength(len(ir) + 2*pad)
	transform := fft.NewReal(n)
	buf := make([]float64, n)
	copy(buf[pad:], ir)
	spectrum := transform.Coefficients(nil, buf)
	coeff := make([]complex128, len(spectrum))
	x := make([]float64, n)
	for b := range octave.N {
		if exactCentre(b)*math.Sqrt2 > float64(rate)/2 {
			out.Bands[b] = noBand("the sample rate is too low for this band")
			continue
		}
		clear(coeff)
		reach := 0.5 + analysisCrossover(b)/2
		hz := float64(rate) / float64(n)
		last := min(len(coeff)-1, int(exactCentre(b)*math.Exp2(reach)/hz)+1)
		for k := int(exactCentre(b) * math.Exp2(-reach) / hz); k <= last; k++ {
			coeff[k] = spectrum[k] * complex(OctaveGain(b, float64(k)*hz)/float64(n), 0)
		}
		transform.Sequence(x, coeff)
		energy := make([]float64, len(ir)-onset)
		for i := range energy {
			v := x[pad+onset+i]
			energy[i] = v * v
		}
		// What the zero-phase filter moved before the onset belongs to the onset.
		for i := range pad {
			if j := pad + onset - 1 - i; j >= 0 && i < pad/2 {
				energy[0] += x[j] * x[j]
			}
		}
		out.Bands[b] = measureBand(energy, rate, b)
		if out.Clipped {
			out.Bands[b].mark("the recording is clipped")
		}
		if interrupted {
			why := "a cut-off sound is no impulse"
			out.Bands[b].EDT.Reliable, out.Bands[b].EDT.Why = false, why
			none := Figure{Value: math.NaN(), Why: why}
			out.Bands[b].C80, out.Bands[b].D50, out.Bands[b].Ts = none, none, none
		}
	}
	return out, nil
}

func noBand(why string) BandMeasures {
	none := Figure{Value: math.NaN(), Why: why}
	return BandMeasures{RangeDB: math.NaN(), EDT: none, T20: none, T30: none, C80: none, D50: none, Ts: none}
}

func (m *BandMeasures) mark(why string) {
	for _, f := range []*Figure{&m.EDT, &m.T20, &m.T30, &m.C80, &m.D50, &m.Ts} {
		if f.Reliable {
			f.Reliable, f.Why = false, why
		}
	}
}

// findOnset is the first sample within 20 dB of the peak; it refuses what is no sound.
func findOnset(ir []float64, rate int) (int, error) {
	if rate < 1000 || rate > 1<<20 {
		return 0, fmt.Errorf("sample rate %d Hz: give 1000 to %d", rate, 1<<20)
	}
	var peak float64
	for i, v := range ir {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return 0, fmt.Errorf("sample %d is not a number", i)
		}
		peak = max(peak, math.Abs(v))
	}
	if peak < 1e-9 {
		return 0, ErrSilent
	}
	for i, v := range ir {
		if math.Abs(v) >= peak/10 {
			if len(ir)-i < rate/20 {
				return 0, ErrTooShort
			}
			return i, nil
		}
	}
	return 0, ErrSilent
}

// clipped tells whether the peak value stands on three samples in a row, twice or more.
func clipped(x []float64) bool {
	var peak float64
	for _, v := range x {
		peak = max(peak, math.Abs(v))
	}
	run, runs := 0, 0
	for _, v := range x {
		if math.Abs(v) >= peak*0.9999 {
			if run++; run == 3 {
				runs++
			}
		} else {
			run = 0
		}
	}
	return runs >= 2
}

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

// smoothedDB is the band's level in windows of 30 ms, or four periods if longer, dB; and the window in samples.
func smoothedDB(energy []float64, rate, band int) ([]float64, int) {
	step := max(1, int(float64(rate)*max(0.01, 3/exactCentre(band))))
	out := make([]float64, 0, len(energy)/step+1)
	for a := 0; a < len(energy); a += step {
		z := min(len(energy), a+step)
		if z-a < step/2 && len(out) > 0 {
			break
		}
		var sum float64
		for _, e := range energy[a:z] {
			sum += e
		}
		out = append(out, 10*math.Log10(sum/float64(z-a)+1e-300))
	}
	return out, step
}

// truncation finds the noise (mean square), the sample where the decay meets it and the decay rate (1/s of
// energy) just before, by iteration.
func truncation(energy []float64, rate, band int) (noise float64, cross int, slope float64) {
	level, step := smoothedDB(energy, rate, band)
	n := len(level)
	mean := func(a, z int) float64 {
		var sum float64
		for _, e := range energy[a:z] {
			sum += e
		}
		return sum / float64(max(1, z-a))
	}
	noise = mean(len(energy)*9/10, len(energy))
	cross = len(energy)
	peakAt := 0
	for i, l := range level {
		if l > level[peakAt] {
			peakAt = i
		}
	}
	for range 6 {
		noiseDB := 10 * math.Log10(noise+1e-300)
		// The late slope: from 25 dB above the noise (or the peak) down to 8 dB above it.
		z := peakAt
		for z < n && level[z] > noiseDB+8 {
			z++
		}
		a := z
		for a > peakAt && level[a-1] < noiseDB+28 {
			a--
		}
		if z-a < 3 {
			a = peakAt
		}
		if z-a < 3 {
			return noise, cross, slope
		}
		k, at0 := line(level[a:z])
		if k >= 0 {
			return noise, cross, slope
		}
		slope = -k * float64(rate) / float64(step) * math.Ln10 / 10
		meet := float64(a) + (noiseDB-at0)/k
		cross = min(len(energy), max(step, int(meet*float64(step))))
		// Noise again, from 10 dB of decay past the meeting, but the last tenth at least.
		from := min(len(energy)*9/10, cross+int(math.Ln10/slope*float64(rate)))
		noise = mean(from, len(energy))
	}
	// A response whose decay goes on to its very end has no noise floor to speak of.
	if cross >= len(energy)*97/100 {
		noise, cross = 0, len(energy)
	}
	return noise, cross, slope
}

// line fits y = at0 + k·i.
func line(y []float64) (k, at0 float64) {
	n := float64(len(y))
	var sy, sxy float64
	for i, v := range y {
		sy += v
		sxy += float64(i) * v
	}
	sx, sxx := n*(n-1)/2, (n-1)*n*(2*n-1)/6
	k = (n*sxy - sx*sy) / (n*sxx - sx*sx)
	return k, (sy - k*sx) / n
}

// schroeder is the backward integral (per sample) up to cross with the noise taken off, and the energy
// past cross added as an exponential of rate slope.
func schroeder(energy []float64, rate int, noise float64, cross int, slope float64) []float64 {
	cross = max(1, min(cross, len(energy)))
	out := make([]float64, cross)
	var rest float64
	if slope > 0 {
		// The decay's own level at cross from the stretch before it: noise there equals it where they meet.
		level := noise
		if noise == 0 {
			w := max(1, min(cross, int(0.02*float64(rate))))
			for _, e := range energy[cross-w : cross] {
				level += e
			}
			level /= float64(w)
		}
		rest = level * float64(rate) / slope
	}
	for i := cross - 1; i >= 0; i-- {
		rest += energy[i] - noise
		out[i] = rest
	}
	for i := range out { // taking noise off may turn the very end over
		out[i] = max(out[i], 0)
	}
	if out[0] <= 0 {
		out[0] = 1e-300
	}
	return out
}

// decayTime is the time for 60 dB by least squares over the decay from `from` to `to`, dB; NaN
// where it does not reach.
func decayTime(decay []float64, rate int, from, to float64) float64 {
	hi, lo := decay[0]*math.Pow(10, from/10), decay[0]*math.Pow(10, to/10)
	a := 0
	for a < len(decay) && decay[a] > hi {
		a++
	}
	if from == 0 {
		a = 0
	}
	z := a
	for z < len(decay) && decay[z] > lo {
		z++
	}
	if z == len(decay) || z-a < 3 {
		return math.NaN()
	}
	db := make([]float64, z-a)
	for i := range db {
		db[i] = 10 * math.Log10(decay[a+i])
	}
	k, _ := line(db)
	return -60 / k / float64(rate)
}
