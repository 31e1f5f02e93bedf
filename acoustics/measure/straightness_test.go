package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"afterchord/acoustics/decay"
	"afterchord/acoustics/octave"

	"github.com/stretchr/testify/assert"
)

// A decay of two straight pieces, 30 dB/s from 0 to -25 dB and 15 dB/s from there on. T20 lies on the first
// alone: 60/30 = 2 s, ξ = 0. For T30 both pieces last 2/3 s, so that about their meeting the line has the slope of
// the mean, 22.5 dB/s, and what is left is even: T30 = 60/22.5 s, C = 100/3 %, and with half-length h
// 1 − r² = (7.5²·h²/12) / (22.5²·h²/3 + 7.5²·h²/12) = 1/37.
func TestStraightnessOfABrokenLine(t *testing.T) {
	const rate = 48000
	decay := make([]float64, 2*rate)
	for i := range decay {
		at := float64(i) / rate
		db := -30 * at
		if db < -25 {
			db = -25 - 15*(at-25./30)
		}
		decay[i] = math.Pow(10, db/10)
	}
	t20, xi20 := decayFit(decay, rate, -5, -25)
	t30, xi30 := decayFit(decay, rate, -5, -35)
	assert.InDelta(t, 2, t20, 1e-6, "T20")
	assert.InDelta(t, 0, xi20, 1e-6, "ξ of T20")
	assert.InDelta(t, 60/22.5, t30, 1e-3, "T30")
	assert.InDelta(t, 1000./37, xi30, 0.01, "ξ of T30")
	c := curvature(Figure{Value: t20, Reliable: true}, Figure{Value: t30, Reliable: true})
	assert.InDelta(t, 100./3, c.Value, 0.05, "C")
	if b := (Band{Curvature: c}).Bend(); b != SlowerLate {
		t.Errorf("bend %q", b)
	}
}

// An exponential is a straight line at any time and rate.
func TestAnExponentialIsStraight(t *testing.T) {
	for _, rt := range []float64{0.3, 1.7, 9} {
		const rate = 8000
		curve := make([]float64, int(rt*rate))
		for i := range curve {
			curve[i] = 3 * math.Exp(-decay.Rate(rt)*float64(i)/rate)
		}
		t20, xi20 := decayFit(curve, rate, -5, -25)
		t30, xi30 := decayFit(curve, rate, -5, -35)
		assert.InDelta(t, 0, 100*(t30/t20-1), 1e-6, "C")
		assert.InDelta(t, 0, xi20, 1e-6, "ξ of T20")
		assert.InDelta(t, 0, xi30, 1e-6, "ξ of T30")
	}
}

// Each kind of bent decay is named in the bands that show it, and a straight one is not.
func TestDecayWarnings(t *testing.T) {
	const rate = 24000
	decaying := func(seed uint64, noiseDB float64, energy func(at float64) float64) Result {
		rng := rand.New(rand.NewPCG(seed, 4))
		x := make([]float64, 5*rate)
		for i := range x {
			x[i] = rng.NormFloat64()*math.Sqrt(energy(float64(i)/rate)) + rng.NormFloat64()*math.Pow(10, noiseDB/20)
		}
		m, err := Channel(x, rate)
		if err != nil {
			t.Fatal(err)
		}
		return m
	}
	exp := func(rt, at float64) float64 { return math.Exp(-decay.Rate(rt) * at) }
	coupled := func(at float64) float64 { return exp(1.2, at) + 0.02*exp(4, at) }
	for _, row := range []struct {
		name    string
		noiseDB float64
		energy  func(at float64) float64
		bend    Bend
		why     string
	}{
		{"straight", -90, func(at float64) float64 { return exp(2, at) }, Straight, ""},
		{"coupled space", -90, coupled, SlowerLate, "coupled space"},
		{"coupled space in noise", -42, coupled, SlowerLate, "noise lies less than 45 dB"},
		{"gate", -90, func(at float64) float64 { return exp(2.5, at) * math.Pow(10, -6*max(0, at-0.6)) }, FasterLate, "noise gate"},
		{"steps", -90, func(at float64) float64 { // a pulse each 0.3 s
			return 2 * exp(2, at) * max(0, 1-8*(at-0.3*math.Floor(at/0.3)))
		}, Uneven, "echo"},
	} {
		m := decaying(2, row.noiseDB, row.energy)
		for b := 4; b <= 7; b++ {
			if got := m.Bands[b].Bend(); got != row.bend {
				t.Errorf("%s at %g Hz: bend %q, C %.1f %%, ξ %.1f ‰", row.name, octave.Centres[b], got, m.Bands[b].Curvature.Value, m.Bands[b].NonLinearity.Value)
			}
		}
		if sure := row.bend != FasterLate && row.bend != Uneven && row.noiseDB < -60; m.Bands[5].T30.Reliable != sure {
			t.Errorf("%s: T30 of the 1 kHz band %+v", row.name, m.Bands[5].T30)
		}
		found := false
		for _, w := range m.DecayWarnings() {
			if slices.Contains(w.Bands, 5) {
				found = true
				if !strings.Contains(w.Why, row.why) || w.Do == "" {
					t.Errorf("%s: %q, %q", row.name, w.Why, w.Do)
				}
			}
		}
		if found != (row.bend != Straight) {
			t.Errorf("%s: warned of %v", row.name, found)
		}
	}
	// In a dry room's lowest band a perfect decay bends by chance, and no coupled space is blamed for it.
	bent := 0
	for seed := range uint64(8) {
		for _, w := range decaying(seed, -90, func(at float64) float64 { return exp(0.8, at) }).DecayWarnings() {
			if slices.Contains(w.Bands, 0) {
				bent++
				if !strings.Contains(w.Why, "chance") {
					t.Errorf("31.5 Hz: %s", w.Why)
				}
			}
		}
	}
	if bent < 4 {
		t.Errorf("the lowest band of a dry room is bent in %d of 8", bent)
	}
}

// T20 wants 35 dB from the peak to the noise and T30 45 dB (ISO 3382-2:2008); without them a figure is marked, 10 dB further down
// withheld, and so is the curvature made of both.
func TestDecayRangeDecidesWhatIsGiven(t *testing.T) {
	const rate = 24000
	type state string
	const safe, marked, withheld state = "safe", "marked", "withheld"
	of := func(f Figure) state {
		switch {
		case f.Reliable && f.Why == "":
			return safe
		case math.IsNaN(f.Value) && f.Why != "":
			return withheld
		case f.Why != "":
			return marked
		}
		return "unexplained"
	}
	for _, row := range []struct {
		rangeDB             float64
		t20, t30, curvature state
	}{{50, safe, safe, safe}, {40, safe, marked, marked}, {31, marked, withheld, withheld}, {20, withheld, withheld, withheld}} {
		t.Run(fmt.Sprint(row.rangeDB), func(t *testing.T) {
			// The peak of the smoothed level lies about 2 dB above the mean of the start.
			m, err := Channel(seededDecay(rate, 2, row.rangeDB-1, 3), rate)
			if err != nil {
				t.Fatal(err)
			}
			for b := 5; b <= 7; b++ {
				x := m.Bands[b]
				if math.Abs(x.RangeDB-row.rangeDB) > 4 {
					t.Errorf("range %.1f dB, want about %g", x.RangeDB, row.rangeDB)
				}
				if of(x.T20) != row.t20 || of(x.T30) != row.t30 || of(x.Curvature) != row.curvature {
					t.Errorf("%g dB at %g Hz (%.1f dB): T20 %s, T30 %s, C %s", row.rangeDB, octave.Centres[b], x.RangeDB, of(x.T20), of(x.T30), of(x.Curvature))
				}
			}
		})
	}
}
