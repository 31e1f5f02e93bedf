package voicing

import "math"

// toneLaw is the steady spectrum of one family and construction at middle C; see families.
type toneLaw struct {
	slopeDB   float64 // fall of the harmonics, dB an octave
	knee      float64 // harmonic number above which they fall faster
	kneeDB    float64 // further fall above the knee, dB an octave
	thinDB    float64 // steepening of the slope with each octave above middle C, dB an octave
	evenDB    float64 // even harmonics re the slope
	formantHz float64 // centre of a resonance; 0 for none
	formantDB float64 // its height
}

// Bounds of the partials of a pipe.
const (
	MaxPartials  = 24    // partials a pipe has at most
	allPartials  = 14    // the first so many are never thinned
	maxHarmonic  = 96    // harmonics that are looked at
	topPartialHz = 18000 // none above
	faintDB      = -70   // none fainter than this re the pipe's strongest
)

// harmonicDB is the level of harmonic n of a pipe of fundamental hz, dB re an arbitrary zero.
func (t *toneLaw) harmonicDB(n int, hz, brightness float64) float64 {
	oct := math.Log2(float64(n))
	slope := t.slopeDB + t.thinDB*math.Max(-3, math.Log2(hz/261.6)) - brightness
	db := -slope * oct
	if f := float64(n); f > t.knee {
		db -= t.kneeDB * math.Log2(f/t.knee)
	}
	if n%2 == 0 {
		db += t.evenDB
	}
	if t.formantHz > 0 {
		x := math.Log2(float64(n) * hz / t.formantHz)
		db += t.formantDB * math.Exp(-x*x)
	}
	return db
}

// compassDB is how the sound power of a rank runs along its compass, dB re middle C (262 Hz):
// more in the bass, where the ear needs more for the same loudness, a little less in the treble.
func compassDB(hz float64) float64 {
	oct := math.Log2(hz / 261.6)
	if oct < 0 {
		return -2.5 * math.Max(oct, -4)
	}
	return -1.0 * math.Min(oct, 5)
}
