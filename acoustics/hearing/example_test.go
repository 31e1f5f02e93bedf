package hearing_test

import (
	"fmt"
	"math"

	"afterchord/acoustics/hearing"
)

// A tone of 1 kHz at 40 dB in a free field is one sone by definition.
func ExampleLoudnessOf() {
	sone := hearing.LoudnessOf([]hearing.Component{{Hz: 1000, LevelDB: 40}}, hearing.Free)
	fmt.Printf("%.2f sone\n", sone)
	// Output: 1.00 sone
}

// The share of a quiet chord that is heard while the tail of a loud one falls past it.
func ExampleModel_HeardShare() {
	ear := hearing.New(hearing.Options{})
	work := ear.NewWork()
	now, tail := make([]float64, ear.N()), make([]float64, ear.N())
	now[ear.Band(262)] = 1e6 // 60 dB
	for _, db := range []float64{10, 0, -10, -20} {
		tail[ear.Band(262)] = 1e6 * math.Pow(10, db/10)
		fmt.Printf("%+.0f dB: %.2f\n", db, ear.HeardShare(now, tail, work))
	}
	// Output:
	// +10 dB: 0.00
	// +0 dB: 0.14
	// -10 dB: 0.75
	// -20 dB: 0.94
}
