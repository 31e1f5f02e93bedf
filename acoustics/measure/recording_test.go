package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"afterchord/acoustics/decay"
	"afterchord/acoustics/impulse"

	"github.com/stretchr/testify/assert"
)

// A sound cut off decays with the room's time and gives no clarity.
func TestCutOffSound(t *testing.T) {
	const rate, rt = 16000, 2.0
	rng := rand.New(rand.NewPCG(5, 5))
	x := make([]float64, 5*rate)
	k := decay.Rate(rt) / 2 / rate
	for i := range x {
		g := 1.0
		if i > 2*rate {
			g = math.Exp(-k * float64(i-2*rate))
		}
		x[i] = g * rng.NormFloat64()
	}
	m, err := Recording(&impulse.Response{Rate: rate, L: x, R: x}, CutOff)
	if err != nil {
		t.Fatal(err)
	}
	assert.InDelta(t, rt, m.Bands[5].T20.Value, 0.1, "T20")
	if !math.IsNaN(m.Bands[5].C80.Value) || m.Bands[5].C80.Why == "" {
		t.Errorf("C80 of a cut-off sound: %+v", m.Bands[5].C80)
	}
}

// Steady noise is no response: no figure is given for it, and each says why.
func TestSteadyNoiseGivesNoFigures(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	noise := make([]float64, 2*48000)
	for i := range noise {
		noise[i] = 0.1 * random.NormFloat64()
	}
	m, err := Channel(noise, 48000)
	if err != nil {
		t.Fatal(err)
	}
	for b, band := range m.Bands {
		for _, f := range []Figure{band.EDT, band.T20, band.T30, band.C80, band.D50, band.Ts} {
			if f.Reliable || !math.IsNaN(f.Value) || f.Why == "" {
				t.Errorf("band %d: %+v", b, f)
			}
		}
	}
}

func TestMeasureRefuses(t *testing.T) {
	nan := make([]float64, 48000)
	nan[100] = math.NaN()
	for what, x := range map[string][]float64{"silent": make([]float64, 48000), "NaN": nan, "empty": nil, "short": {1, 0, 0}} {
		if _, err := Channel(x, 48000); err == nil {
			t.Errorf("%s: no error", what)
		}
	}
	noisy := seededDecay(16000, 2, 25, 3)
	m, err := Channel(noisy, 16000)
	if err != nil {
		t.Fatal(err)
	}
	if f := m.Bands[5].T30; f.Reliable || f.Why == "" {
		t.Errorf("T30 in noise 25 dB down is taken for reliable: %+v", f)
	}
}

// A recording that stands at full scale is marked in every band.
func TestClippedIsMarked(t *testing.T) {
	x := seededDecay(16000, 1.5, 0, 4)
	for _, limit := range []float64{math.Inf(1), 0.5} {
		t.Run(fmt.Sprint(limit), func(t *testing.T) {
			y := make([]float64, len(x))
			for i, v := range x {
				y[i] = max(-limit, min(limit, v))
			}
			m, err := Channel(y, 16000)
			if err != nil {
				t.Fatal(err)
			}
			clipped := !math.IsInf(limit, 1)
			if m.Clipped != clipped {
				t.Errorf("limit %g: Clipped is %t", limit, m.Clipped)
			}
			f := m.Bands[5].T30
			if f.Reliable == clipped || clipped && !strings.Contains(f.Why, "clipped") {
				t.Errorf("limit %g: %+v", limit, f)
			}
		})
	}
}
