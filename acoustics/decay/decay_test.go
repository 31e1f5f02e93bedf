package decay

import (
	"testing"

	"afterchord/acoustics/air"

	"github.com/stretchr/testify/assert"
)

// EN 12354-6:2003, Annex E, case 1: the bare room at 1 kHz.
func TestBareRoom(t *testing.T) {
	areas := []float64{12.39, 12.39, 10.90, 10.90, 6.55, 6.55}
	alphas := []float64{0.05, 0.02, 0.04, 0.04, 0.04, 0.04}
	var a float64
	for i := range areas {
		a += areas[i] * alphas[i]
	}
	assert.InDelta(t, 2.26, a, 0.01, "A")
	assert.InDelta(t, 2.1, Sabine(29.75, a, air.SpeedOfSound(20)), 0.05, "T")
}
