package acoustics

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
