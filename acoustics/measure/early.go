package measure

import (
	"math"

	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/octave"
)

// earlyPart is the spectra of the first 50 and 80 ms of a response. They are cut from the response before an octave filter hears them: a
// filter smears what it hears over a few of its own periods, in the bass over tens of milliseconds, and what is early must not be
// counted as late for it (ISO 3382-1:2009, the time window before the filter; from memory).
type earlyPart struct {
	n          int
	to50, to80 []complex128
}

// beforeOnset is how long before its onset the direct sound may begin, s.
const beforeOnset = 0.005

// cutEarly takes the early part of x, whose onset is a sample of it.
func cutEarly(x []float64, onset, rate int, transform *fft.Real) earlyPart {
	cut := func(t float64) []complex128 {
		part := make([]float64, len(x))
		from, to := max(0, onset-int(beforeOnset*float64(rate))), min(len(x), onset+int(t*float64(rate)))
		copy(part[from:to], x[from:to])
		return transform.Coefficients(nil, part)
	}
	return earlyPart{len(x), cut(0.05), cut(0.08)}
}

// clarity gives the band its C80 and D50, where it has enough range for them; filtered is the spectrum of the whole response
// as the band's filter hears it, over the number of points.
func (e *earlyPart) clarity(m *Band, filtered []complex128, band int, hz float64) {
	if math.IsNaN(m.C80.Value) || m.total <= 0 {
		return
	}
	// The late part is the whole less the early one and less what the two share where they meet.
	parts := func(early []complex128) (first, late float64) {
		var cross float64
		for k, f := range filtered {
			if f == 0 {
				continue
			}
			gain := octave.Gain(band, float64(k)*hz)
			v := early[k] * complex(gain/float64(e.n), 0)
			rest := f - v
			first += 2 * (real(v)*real(v) + imag(v)*imag(v))
			cross += 2 * (real(v)*real(rest) + imag(v)*imag(rest))
		}
		first *= float64(e.n)
		return first, m.total - first - 2*cross*float64(e.n)
	}
	first, late := parts(e.to80)
	m.C80.Value = 10 * math.Log10(first/max(late, 1e-300))
	if m.C80.Value > mostClarity || math.IsInf(m.C80.Value, -1) {
		m.C80 = Figure{Value: math.NaN(), Why: "nothing of the room's sound is left after 80 ms"}
	}
	first, late = parts(e.to50)
	m.D50.Value = min(1, max(0, first/(first+max(late, 0))))
}
