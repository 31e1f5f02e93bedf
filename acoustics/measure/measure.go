// Package measure takes the figures of ISO 3382 from an impulse response or a recording: EDT, T20, T30, C80, D50 and Ts in
// each octave band, each with a mark that says whether it is reliable, and how straight the decay is.
package measure

import (
	"errors"
	"math"

	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/octave"
)

// Errors that [Channel] returns for what cannot be measured at all.
var (
	ErrSilent   = errors.New("the recording is silent: choose the right microphone and record again")
	ErrTooShort = errors.New("the recording ends less than 50 ms after the sound begins: record on until all is quiet")
)

// Measure measures an impulse response sampled at rate (Hz) per octave band. The
// onset is the first sample within 20 dB of the peak (ISO 3382-1, 5.3.4). In each band
// the noise is estimated, taken off, and the backward integration is stopped where the decay meets it and
// completed with the exponential that the late decay points to (ISO 3382-1, 5.3.3; Lundeby
// et al., Acustica 81 (1995) 344). A figure whose band has too little range above the
// noise (T30 45 dB, T20 35 dB, EDT 20 dB) is marked.
func Channel(ir []float64, rate int) (Result, error) {
	return measure(ir, rate, false)
}

func measure(ir []float64, rate int, interrupted bool) (Result, error) {
	var out Result
	onset, err := Onset(ir, rate)
	if err != nil {
		return out, err
	}
	out.OnsetS = float64(onset) / float64(rate)
	out.Clipped = clipped(ir)
	pad := rate / 5
	n := fft.Length(len(ir) + 2*pad)
	transform := fft.NewReal(n)
	buf := make([]float64, n)
	copy(buf[pad:], ir)
	spectrum := transform.Coefficients(nil, buf)
	early := cutEarly(buf, pad+onset, rate, transform)
	coeff := make([]complex128, len(spectrum))
	x := make([]float64, n)
	for b := range octave.N {
		if octave.Exact(b)*math.Sqrt2 > float64(rate)/2 {
			out.Bands[b] = noBand("the sample rate is too low for this band")
			continue
		}
		clear(coeff)
		const reach = octave.Reach
		hz := float64(rate) / float64(n)
		last := min(len(coeff)-1, int(octave.Exact(b)*math.Exp2(reach)/hz)+1)
		for k := int(octave.Exact(b) * math.Exp2(-reach) / hz); k <= last; k++ {
			coeff[k] = spectrum[k] * complex(octave.Gain(b, float64(k)*hz)/float64(n), 0)
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
		early.clarity(&out.Bands[b], coeff, b, hz)
		if out.Bands[b].distorted(b) {
			doubt(&out.Bands[b].T30)
		}
		if out.Clipped {
			out.Bands[b].mark("the recording is clipped")
		}
		if interrupted {
			why := "a sound cut off is not an impulse"
			out.Bands[b].EDT.Reliable, out.Bands[b].EDT.Why = false, why
			none := Figure{Value: math.NaN(), Why: why}
			out.Bands[b].C80, out.Bands[b].D50, out.Bands[b].Ts = none, none, none
		}
	}
	return out, nil
}
