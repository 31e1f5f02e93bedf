package hearing

import "math"

// Smoothing constants of Glasberg & Moore, J. Audio Eng. Soc. 50 (2002) 331, for a
// step of 1 ms: short-term loudness from instantaneous, long-term from short-term.
const (
	shortAttack, shortRelease = 0.045, 0.02
	longAttack, longRelease   = 0.01, 0.0005
)

// Forward masking: the two exponentials of the temporal window of Plack & Oxenham,
// J. Acoust. Soc. Am. 103 (1998) 1598, on the compressed excitation (values as
// published software that cites the paper has them). The window's few milliseconds before
// the instant are left out.
const (
	windowFastS, windowSlowS, windowSlow = 0.004, 0.029, 0.0251
	windowCompression                    = 0.2 // of Moore, Glasberg & Baer 1997, α
)

// Temporal is how hearing lags behind the sound: short-term and long-term loudness,
// and the forward masking that a sound leaves in each band after it has ended. It is
// the state of one stream of frames; the steps may differ in length.
//
// Simplified: the loudness of a frame (instantaneous) is taken from levels in bands, not from a
// short-term spectrum of the waveform; the forward masking runs on the power in each
// band to the 0.2, not on the excitation.
type Temporal struct {
	Short, Long float64 // sone, after the last StepLoudness
	fast, slow  []float64
}

// NewTemporal makes the state for n bands (Model.N).
func NewTemporal(n int) *Temporal {
	return &Temporal{fast: make([]float64, n), slow: make([]float64, n)}
}

// Reset goes back to silence.
func (t *Temporal) Reset() {
	t.Short, t.Long = 0, 0
	clear(t.fast)
	clear(t.slow)
}

// StepLoudness takes the instantaneous loudness, sone, of a frame of dtS seconds and
// gives the short-term loudness at its end.
func (t *Temporal) StepLoudness(sone, dtS float64) float64 {
	t.Short = approach(t.Short, sone, shortAttack, shortRelease, dtS)
	t.Long = approach(t.Long, t.Short, longAttack, longRelease, dtS)
	return t.Short
}

func approach(from, to, attack, release, dtS float64) float64 {
	a := release
	if to > from {
		a = attack
	}
	return to + (from-to)*math.Pow(1-a, dtS*1000)
}

// StepMasker fills dst with the masker that hearing still holds at the end of a
// frame of dtS seconds whose band powers are power: the power itself or, where
// more, what earlier frames have left. dst may be power.
func (t *Temporal) StepMasker(dst, power []float64, dtS float64) {
	const fastArea = (1 - windowSlow) * windowFastS
	const share = fastArea / (fastArea + windowSlow*windowSlowS)
	kf, ks := math.Exp(-dtS/windowFastS), math.Exp(-dtS/windowSlowS)
	for i, p := range power[:len(t.fast)] {
		z := 0.0
		if p > 1e-20 {
			z = pow(p, windowCompression)
		}
		t.fast[i] = z + (t.fast[i]-z)*kf
		t.slow[i] = z + (t.slow[i]-z)*ks
		held := share*t.fast[i] + (1-share)*t.slow[i]
		h2 := held * held
		dst[i] = max(p, h2*h2*held)
	}
}
