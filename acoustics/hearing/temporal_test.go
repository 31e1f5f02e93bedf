package hearing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Glasberg & Moore 2002: time constants of about 22 ms up and 50 ms down, whatever the step.
func TestShortTermAttackAndRelease(t *testing.T) {
	for _, dt := range []float64{0.001, 0.005, 0.02} {
		lag := NewTemporal(1)
		for now := dt; now < 0.0201; now += dt {
			lag.StepLoudness(1, dt)
		}
		assert.InDelta(t, 1-math.Pow(1-0.045, 20), lag.Short, 1e-9)
		lag.Short = 1
		for now := dt; now < 0.0401; now += dt {
			lag.StepLoudness(0, dt)
		}
		assert.InDelta(t, math.Pow(1-0.02, 40), lag.Short, 1e-9)
	}
	assert.InDelta(t, 0.022, -0.001/math.Log(1-shortAttack), 0.0005)
	assert.InDelta(t, 0.050, -0.001/math.Log(1-shortRelease), 0.001)
}

// A masker is whole while it lasts, falls fast after it and is gone, 60 dB down and more, by
// 200 ms (Jesteadt, Bacon & Lehman 1982: no forward masking left by about 200 ms).
func TestForwardMaskingDecays(t *testing.T) {
	lag, p, held := NewTemporal(1), []float64{1e6}, []float64{0}
	for range 20 {
		lag.StepMasker(held, p, 0.01)
		assert.Equal(t, p[0], held[0])
	}
	p[0] = 0
	last := 1e6
	for i := range 20 {
		lag.StepMasker(held, p, 0.01)
		assert.Less(t, held[0], last, "step %d", i)
		last = held[0]
	}
	assert.Less(t, last, 1.0)
}

// Beats are roughest in the low tens of hertz apart and gone at unison and far apart; a
// minor second of complex tones is rougher than a fifth, a fifth than an octave
// (Plomp & Levelt 1965; common practice).
func TestRoughness(t *testing.T) {
	pair := func(df float64) float64 { return Roughness(tones(60, 500, 500+df)) }
	assert.Zero(t, pair(0))
	best, at := 0.0, 0.0
	for df := 1.0; df < 400; df++ {
		if r := pair(df); r > best {
			best, at = r, df
		}
	}
	// Closed form of the maximum: x = ln(5.75/3.5)/(5.75-3.5), Δf = x/s.
	want := math.Log(5.75/3.5) / 2.25 / 0.24 * (0.0207*500 + 18.96)
	assert.InDelta(t, want, at, 1)
	assert.Less(t, pair(399), 0.02*best)
	chord := func(ratio float64) float64 {
		var c []Component
		for h := 1.0; h <= 6; h++ {
			c = append(c, Component{262 * h, 60 - 4*h}, Component{262 * ratio * h, 60 - 4*h})
		}
		return Roughness(c)
	}
	assert.Greater(t, chord(16.0/15), chord(3.0/2))
	assert.Greater(t, chord(3.0/2), chord(2))
}
