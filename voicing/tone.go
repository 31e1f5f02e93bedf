package voicing

import "math"

// toneLaw is the steady spectrum and the strength of one family.
type toneLaw struct {
	powerDB   float64 // sound power of one pipe at middle C, dB re 1 pW
	slopeDB   float64 // fall of the harmonics, dB an octave
	knee      float64 // harmonic number above which they fall faster
	kneeDB    float64 // further fall above the knee, dB an octave
	thinDB    float64 // steepening of the slope with each octave above middle C, dB an octave
	evenDB    float64 // even harmonics re the slope
	formantHz float64 // centre of a resonance; 0 for none
	formantDB float64 // its height
}

// toneLaws is the steady sound of each family at middle C. That an open pipe has all harmonics and a stopped one weak even
// harmonics, that wide flutes have few and narrow strings many, and that reeds are richest is in Fletcher &
// Rossing, ch. 17; the slopes are from memory. The powers are our own calibration: they put the softest stop of the
// built-in organs at 45-50 dB and full organ at 95-100 dB at a middle seat of a large church (common practice). A half-length
// (cylindrical) reed favours the odd harmonics as a stopped pipe does.
var toneLaws = map[pipeKind]toneLaw{
	{Flute, Open}:        {76, 14, 6, 8, 1.5, 0, 0, 0},
	{Flute, Stopped}:     {74, 13, 7, 8, 1.5, -24, 0, 0},
	{Principal, Open}:    {80, 7, 6, 9, 1.5, 0, 0, 0},
	{Principal, Stopped}: {78, 8, 7, 9, 1.5, -20, 0, 0},
	{String, Open}:       {68, 2.5, 8, 10, 1.2, 0, 0, 0},
	{String, Stopped}:    {68, 3, 8, 10, 1.2, -18, 0, 0},
	{Reed, Open}:         {84, 2, 10, 10, 1, 0, 1200, 6},
	{Reed, HalfLength}:   {80, 3, 9, 10, 1, -9, 1000, 5},
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
