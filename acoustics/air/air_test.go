package air

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
)

// ISO 9613-2:1996, Table 2 (from memory), dB/km at 63 Hz..8 kHz; the table is rounded to a tenth, or to 1 above 100.
func TestAirAbsorptionTable(t *testing.T) {
	for _, row := range []struct {
		tempC, humidity float64
		dB              [8]float64
	}{
		{10, 70, [8]float64{0.1, 0.4, 1.0, 1.9, 3.7, 9.7, 32.8, 117}},
		{20, 70, [8]float64{0.1, 0.3, 1.1, 2.8, 5.0, 9.0, 22.9, 76.6}},
		{15, 50, [8]float64{0.1, 0.5, 1.2, 2.2, 4.2, 10.8, 36.2, 129}},
	} {
		for i, want := range row.dB {
			hz := 1000 * math.Pow(10, 0.3*float64(i-4)) // exact base-ten centres, as the standard has them
			got := 1000 * Absorption(hz, row.tempC, row.humidity, StandardPressure)
			assert.InDelta(t, want, got, max(0.06, 0.01*want), "air absorption")
		}
	}
}
