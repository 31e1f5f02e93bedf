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

// octaves is how many octaves each harmonic lies above the fundamental.
var octaves = func() (o [maxHarmonic + 1]float64) {
	for n := 1; n <= maxHarmonic; n++ {
		o[n] = math.Log2(float64(n))
	}
	return o
}()

// pipeTone is a toneLaw for the pipes of one fundamental.
type pipeTone struct {
	*toneLaw
	slope   float64 // fall of the harmonics, dB an octave
	knee    float64 // the law's, octaves above the fundamental
	formant float64 // likewise
}

func (t *toneLaw) at(hz, brightness float64) pipeTone {
	p := pipeTone{toneLaw: t, knee: math.Log2(t.knee)}
	p.slope = t.slopeDB + t.thinDB*math.Max(-3, math.Log2(hz/261.6)) - brightness
	if t.formantHz > 0 {
		p.formant = math.Log2(t.formantHz / hz)
	}
	return p
}

// harmonicDB is the level of harmonic n, dB re an arbitrary zero.
func (t *pipeTone) harmonicDB(n int) float64 {
	oct := octaves[n]
	db := -t.slope * oct
	if float64(n) > t.toneLaw.knee {
		db -= t.kneeDB * (oct - t.knee)
	}
	if n%2 == 0 {
		db += t.evenDB
	}
	if t.formantHz > 0 {
		x := oct - t.formant
		db += t.formantDB * math.Exp(-x*x)
	}
	return db
}

// compassLaw is the sound power of a pipe at each C from C0 (16.35 Hz) to C9 re middle C, dB.
type compassLaw [10]float64

// at is the law at hz, led straight from C to C.
func (c *compassLaw) at(hz float64) float64 {
	x := min(float64(len(c)-1), max(0, math.Log2(hz/16.35)))
	i := min(len(c)-2, int(x))
	return c[i] + (x-float64(i))*(c[i+1]-c[i])
}

// regulated is the loudness level to which a stop is regulated at each C from C0 to C9 re middle C, phon: loudest in the middle
// octave and falling steadily to both sides, the stops of other lengths going on as the unisons do. That is the pattern
// that was found for all unison stops of a large organ, with 10 to 40 phon from the middle to the ends (Harrison &
// Thompson-Allen, "Loudness level survey of the Newberry Memorial Organ", J. Acoust. Soc. Am. 100 (1996) 3909, abstract; their
// levels are those of pure tones of the same sound pressure, which see more of a fall in the bass than the ear does,
// as it hears the harmonics); the single values are our own.
var regulated = [10]float64{-14, -8, -4, -1.5, 0, -0.5, -4, -9, -16, -26}
