package hearing

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// A pure tone is as loud through bands half a Cam apart as by the standard's own filters (ISO 532-2:2017, 7), wherever between
// the centres it lies: within a tenth, or the loudness at the threshold of hearing.
func TestTonesBetweenBands(t *testing.T) {
	for _, field := range []Field{Diffuse, Free} {
		m := New(Options{Field: field})
		w, power := m.NewWork(), make([]float64, m.N())
		for hz := 20.0; hz < 14000; hz *= 1.021 {
			for db := 60.0; db <= 90; db += 10 {
				clear(power)
				m.Add(power, hz, math.Pow(10, db/10))
				want := LoudnessOf(tones(db, hz), field)
				assert.InDelta(t, want, m.Loudness(power, w), max(thresholdSone, 0.1*want), "%.1f Hz, %g dB", hz, db)
			}
		}
	}
}

// Dividing a component leaves its level as it is.
func TestSharesAddUp(t *testing.T) {
	m := New(Options{})
	for hz := 5.0; hz < 30000; hz *= 1.01 {
		sum := 0.0
		for _, s := range m.Shares(hz) {
			assert.True(t, s.Part >= 0 && s.Band >= 0 && s.Band < m.N(), "%g Hz", hz)
			sum += s.Part
		}
		assert.InDelta(t, 1, sum, 1e-12, "%g Hz", hz)
	}
}

// A tone is not rough by itself, wherever between the bands it lies, and is as strong as it came.
func TestOneToneIsNotRough(t *testing.T) {
	m := New(Options{})
	for hz := 20.0; hz < 13000; hz *= 1.03 {
		power := make([]float64, m.N())
		m.Add(power, hz, 1e7)
		got := m.Tones(power, 10)
		assert.Zero(t, Roughness(got), "%g Hz", hz)
		if assert.Len(t, got, 1, "%g Hz", hz) {
			assert.InDelta(t, 70, got[0].LevelDB, 0.01, "%g Hz", hz)
		}
	}
}
