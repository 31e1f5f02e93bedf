package room

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"afterchord/acoustics/geometry"
	"afterchord/acoustics/octave"

	"github.com/stretchr/testify/assert"
)

// Barron & Lee 1988: 31200·T/V·e^(-0.04 r/T) re the direct sound at 10 m; direct 100/r².
func TestPathFollowsRevisedTheory(t *testing.T) {
	r, err := FromRT(3)
	if err != nil {
		t.Fatal(err)
	}
	r.RT60 = octave.Flat(3)
	r.ConcertHall = true
	src := geometry.Point{Z: 1.2}
	for _, d := range []float64{5, 10, 20, 30} {
		p := r.Path(src, Seat{"x", geometry.Point{Y: d, Z: 1.2}})
		ref := r.intensityToPressure() / (4 * math.Pi * 100)
		assert.InDelta(t, 10*math.Log10(31200*3/r.VolumeM3*math.Exp(-0.04*d/3)), 10*math.Log10(p.Tail[5][0].Gain/ref), 0.05, "reverberant")
		assert.InDelta(t, 10*math.Log10(100/(d*d)), 10*math.Log10(p.Direct[1]/ref), 0.05, "direct")
	}
}

func TestFromRTRefuses(t *testing.T) {
	for _, bad := range []float64{0, -1, math.NaN(), 15.1, math.Inf(1)} {
		if _, err := FromRT(bad); err == nil {
			t.Errorf("FromRT(%v) is accepted", bad)
		}
	}
	for _, good := range []float64{0.2, 6.5, 15} {
		t.Run(fmt.Sprint(good), func(t *testing.T) {
			r, err := FromRT(good)
			if err != nil {
				t.Fatal(err)
			}
			assert.InDelta(t, good, (r.RT60[4]+r.RT60[5])/2, 1e-6, "mean of 500 Hz and 1 kHz")
		})
	}
}

// A room of which time and volume are known is one that can be, and the organ stands in it; what cannot be is refused with the reason.
func TestImpossibleRoomsAreRefused(t *testing.T) {
	for _, x := range []struct {
		rt, volume float64
		why        string
	}{
		{2, 5, "no organ"}, {0.3, 60000, "more than nine tenths"}, {12, 100, "less than a hundredth"},
	} {
		if _, err := FromRTAndVolume(x.rt, x.volume); err == nil || !strings.Contains(err.Error(), x.why) {
			t.Errorf("%g s in %g m³: %v", x.rt, x.volume, err)
		}
	}
	for rt := 0.3; rt <= 12; rt *= 1.2 {
		r, err := FromRT(rt)
		if err != nil {
			t.Fatal(err)
		}
		if v := r.SizeM[0] * r.SizeM[1] * r.SizeM[2]; math.Abs(v/r.VolumeM3-1) > 1e-9 || r.SizeM[1] < 2.4 || r.SizeM[2] < 2.4 {
			t.Errorf("%g s: %g m³, %v m", rt, r.VolumeM3, r.SizeM)
		}
	}
}
