package measure

import (
	"fmt"
	"math"
	"testing"

	"afterchord/acoustics/decay"

	"github.com/stretchr/testify/assert"
)

// Closed forms of an exponential decay; the definitions are those of ISO 3382-1.
func TestExponentialClosedForms(t *testing.T) {
	for _, row := range []struct{ rt, c80, d50, ts float64 }{
		{1, 3.05, 0.499, 0.0724}, {2, -1.32, 0.292, 0.1448}, {4, -4.97, 0.159, 0.2895}, {7, -7.67, 0.094, 0.5067},
	} {
		assert.InDelta(t, row.c80, exponentialC80(row.rt), 0.006, "C80")
		assert.InDelta(t, row.d50, exponentialD50(row.rt), 0.0006, "D50")
		assert.InDelta(t, row.ts, exponentialTs(row.rt), 0.00006, "Ts")
	}
	// Houtgast & Steeneken 1985; IEC 60268-16.
	assert.InDelta(t, 0.265, modulationTransfer(2, 4), 0.001, "m(2 Hz, 4 s)")
	// 0.057·sqrt(V/T) with the rounded constant gives 4.03 m.
	assert.InDelta(t, 4.03, decay.CriticalDistance(10000, 2, 343), 0.03, "critical distance")
}

// Measured on exponentially decaying noise the figures are the closed forms in the mean.
func TestMeasureExponential(t *testing.T) {
	const rate = 12000
	const seeds = 16
	for _, rt := range []float64{1, 3} {
		t.Run(fmt.Sprint(rt), func(t *testing.T) {
			for b := 4; b <= 5; b++ {
				var t30, c80, ts, d50 float64
				for seed := range uint64(seeds) {
					m, err := Channel(seededDecay(rate, rt, 0, seed+1), rate)
					if err != nil {
						t.Fatal(err)
					}
					x := m.Bands[b]
					t30, c80 = t30+x.T30.Value/seeds, c80+x.C80.Value/seeds
					ts, d50 = ts+x.Ts.Value/seeds, d50+x.D50.Value/seeds
				}
				assert.InDelta(t, 1, t30/rt, 0.02, "T30")
				assert.InDelta(t, exponentialC80(rt), c80, 0.5, "C80")
				assert.InDelta(t, exponentialD50(rt), d50, 0.04, "D50")
				assert.InDelta(t, 1, ts/exponentialTs(rt), 0.05, "Ts")
			}
		})
	}
}

// exponentialC80 is the clarity of a pure exponential decay, dB (definition: ISO 3382-1, A.2.3).
func exponentialC80(rt60 float64) float64 {
	return 10 * math.Log10(math.Expm1(decay.Rate(rt60)*0.08))
}

// exponentialD50 is the definition of a pure exponential decay (ISO 3382-1, A.2.3), 0..1.
func exponentialD50(rt60 float64) float64 { return -math.Expm1(-decay.Rate(rt60) * 0.05) }

// exponentialTs is the centre time of a pure exponential decay (ISO 3382-1, A.2.3), s.
func exponentialTs(rt60 float64) float64 { return 1 / decay.Rate(rt60) }

// modulationTransfer is the depth that a modulation at rate hz keeps in a pure exponential
// decay: 1/sqrt(1+(2πFT/13.8)²) (Houtgast & Steeneken 1985).
func modulationTransfer(hz, rt60 float64) float64 {
	return 1 / math.Hypot(1, 2*math.Pi*hz/decay.Rate(rt60))
}
