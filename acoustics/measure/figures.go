package measure

import (
	"math"

	"afterchord/acoustics/octave"
)

// Figure is one figure of a response with its reliability mark.
type Figure struct {
	Value    float64
	Reliable bool
	Why      string // why it is not reliable, or could not be given (Value NaN)
}

// Band are the figures of one octave band (ISO 3382-1:2009, 5.3 and A.2).
type Band struct {
	RangeDB           float64 // from the highest level down to the noise, dB
	EDT, T20, T30, Ts Figure  // s
	T15               Figure  // s, from -5 to -20 dB: of averaged takes alone, where noise leaves no T20 ([Takes])
	C80               Figure  // dB
	D50               Figure  // 0..1

	// How straight the decay is (ISO 3382-2:2008, Annex B): C = 100·(T30/T20 − 1), %, and ξ = 1000·(1 − r²), ‰, of the fit of
	// T30, of T20 where there is no T30. See [Band.Bend].
	Curvature, NonLinearity Figure

	met   float64 // where the decay meets the noise, as a share of what was recorded
	total float64 // the energy of the band, without its noise
	early float64 // how much slower the second half of T20's range falls than the first, %; NaN where it is not reached

	Decay []float64 // the decay by backward integration, dB re its start, one value each [DecayStepS]
}

// DecayStepS is the time between two values of a band's decay, s.
const DecayStepS = 0.01

// figures lists every figure of the band.
func (m *Band) figures() []*Figure {
	return []*Figure{&m.EDT, &m.T20, &m.T30, &m.T15, &m.C80, &m.D50, &m.Ts, &m.Curvature, &m.NonLinearity}
}

// RT is the best reverberation time the band has: T30, else T20, else T15, else EDT.
func (m Band) RT() Figure {
	times := [...]Figure{m.T30, m.T20, m.T15, m.EDT}
	for _, f := range times {
		if f.Reliable {
			return f
		}
	}
	for _, f := range times {
		if !math.IsNaN(f.Value) {
			return f
		}
	}
	return m.EDT
}

// Measures are the figures of a response.
type Result struct {
	OnsetS  float64 // where the direct sound stands in the recording, s
	Clipped bool
	Bands   [octave.N]Band
}

// MidBands are the octave bands, with their names, whose reverberation times stand for a room: 500 Hz and 1 kHz.
var MidBands = [...]struct {
	Band int
	Name string
}{{octave.Index(500), "500 Hz"}, {octave.Index(1000), "1 kHz"}}

// MidTime is the mean reverberation time of 500 Hz and 1 kHz, s, or that of the one which is sure; ok is false where neither is.
func (r *Result) MidTime() (s float64, ok bool) {
	n := 0.0
	for _, m := range MidBands {
		if t := r.Bands[m.Band].RT(); t.Reliable && !math.IsNaN(t.Value) {
			s += t.Value
			n++
		}
	}
	return s / max(1, n), n > 0
}

func noBand(why string) Band {
	none := Figure{Value: math.NaN(), Why: why}
	m := Band{RangeDB: math.NaN()}
	for _, f := range m.figures() {
		*f = none
	}
	return m
}

func (m *Band) mark(why string) {
	for _, f := range m.figures() {
		if f.Reliable {
			f.Reliable, f.Why = false, why
		}
	}
}
