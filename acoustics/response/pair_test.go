package response

import (
	"math"
	"testing"

	"afterchord/acoustics/air"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
)

// The coherence of two cardioids in a diffuse field by its definition: the mean over the directions of the sphere of what one
// hears times what the other hears, and the delay between them (Cook and others, J. Acoust. Soc. Am. 27 (1955) 1072, for two
// omnidirectional microphones, from memory: sin(kd)/(kd)).
func TestPairCoherenceIsTheMeanOverDirections(t *testing.T) {
	const c, steps = 343.0, 400
	direct := func(hz, pattern, angle float64) float64 {
		var cross, power float64
		for i := range steps {
			up := -1 + 2*(float64(i)+0.5)/steps // sine of the elevation
			flat := math.Sqrt(1 - up*up)
			for j := range steps {
				azimuth := 2 * math.Pi * (float64(j) + 0.5) / steps
				x, y := flat*math.Sin(azimuth), flat*math.Cos(azimuth)
				hears := func(side float64) float64 {
					return 1 - pattern + pattern*(x*math.Sin(side*angle)+y*math.Cos(side*angle))
				}
				cross += hears(-1) * hears(1) * math.Cos(2*math.Pi*hz/c*pairSpacing*x)
				power += hears(1) * hears(1)
			}
		}
		return cross / power
	}
	for _, hz := range []float64{20, 31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000} {
		if z := 2 * math.Pi * hz / c * pairSpacing; math.Abs(direct(hz, 0, 0)-math.Sin(z)/z) > 1e-3 {
			t.Fatalf("%g Hz: two omnidirectional microphones have %.4f for %.4f", hz, direct(hz, 0, 0), math.Sin(z)/z)
		}
		if got, want := betweenPair(c)(hz), direct(hz, 0.5, pairAngle); math.Abs(got-want) > 1e-3 {
			t.Errorf("%g Hz: %.4f for %.4f", hz, got, want)
		}
	}
	if got := betweenPair(c)(1e-6); math.Abs(got-0.6645) > 5e-4 {
		t.Errorf("lowest: %.4f", got)
	}
}

// The tail for loudspeakers has the coherence of the stated pair, and each channel the decay.
func TestTailHasTheCoherenceOfThePair(t *testing.T) {
	for _, name := range []string{"chapel", "cathedral"} {
		r, _ := room.BuiltIn(name)
		seat, err := r.Seat("middle")
		if err != nil {
			t.Fatal(err)
		}
		tail, err := Late(t.Context(), r, seat, 48000)
		if err != nil {
			t.Fatal(err)
		}
		late := allOf(t, tail)
		expected := betweenPair(air.SpeedOfSound(r.TempC))
		for b, centre := range octave.Centres {
			lo, hi := centre/math.Sqrt2, centre*math.Sqrt2
			want := 0.0
			for i := range 100 {
				want += expected(lo+(hi-lo)*(float64(i)+0.5)/100) / 100
			}
			got := coherence(late.L, late.R, lo, hi, late.Rate)
			t.Logf("%s %6g Hz: %+.3f for %+.3f", name, centre, got, want)
			slack := 0.05
			if b < 5 {
				slack = 0.12 // chance in a few modes
			}
			if math.Abs(got-want) > slack {
				t.Errorf("%s %g Hz: coherence %.3f for %.3f", name, centre, got, want)
			}
		}
	}
}
