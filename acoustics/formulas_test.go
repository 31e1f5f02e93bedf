package acoustics

import (
	"math"
	"testing"

	"afterchord/acoustics/geometry"
	"afterchord/acoustics/octave"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: %.4f, want %.4f ± %.4f", what, got, want, tolerance)
	}
}

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
			got := 1000 * AirAbsorption(hz, row.tempC, row.humidity, StandardPressure)
			near(t, "air absorption", got, want, max(0.06, 0.01*want))
		}
	}
}

// EN 12354-6:2003, Annex E, case 1: the bare room at 1 kHz.
func TestBareRoom(t *testing.T) {
	areas := []float64{12.39, 12.39, 10.90, 10.90, 6.55, 6.55}
	alphas := []float64{0.05, 0.02, 0.04, 0.04, 0.04, 0.04}
	var a float64
	for i := range areas {
		a += areas[i] * alphas[i]
	}
	near(t, "A", a, 2.26, 0.01)
	near(t, "T", Sabine(29.75, a, SpeedOfSound(20)), 2.1, 0.05)
}

// Closed forms of an exponential decay; the definitions are those of ISO 3382-1.
func TestExponentialClosedForms(t *testing.T) {
	for _, row := range []struct{ rt, c80, d50, ts float64 }{
		{1, 3.05, 0.499, 0.0724}, {2, -1.32, 0.292, 0.1448}, {4, -4.97, 0.159, 0.2895}, {7, -7.67, 0.094, 0.5067},
	} {
		near(t, "C80", ExponentialC80(row.rt), row.c80, 0.006)
		near(t, "D50", ExponentialD50(row.rt), row.d50, 0.0006)
		near(t, "Ts", ExponentialTs(row.rt), row.ts, 0.00006)
	}
	// Houtgast & Steeneken 1985; IEC 60268-16.
	near(t, "m(2 Hz, 4 s)", ModulationTransfer(2, 4), 0.265, 0.001)
	// 0.057·sqrt(V/T) with the rounded constant gives 4.03 m.
	near(t, "critical distance", CriticalDistance(10000, 2, 343), 4.03, 0.03)
}

// Measured on exponentially decaying noise the figures are the closed forms in the mean.
func TestMeasureExponential(t *testing.T) {
	const rate = 12000
	const seeds = 16
	for _, rt := range []float64{1, 3} {
		for b := 4; b <= 5; b++ {
			var t30, c80, ts, d50 float64
			for seed := range uint64(seeds) {
				m, err := Measure(seededDecay(rate, rt, 0, seed+1), rate)
				if err != nil {
					t.Fatal(err)
				}
				x := m.Bands[b]
				t30, c80 = t30+x.T30.Value/seeds, c80+x.C80.Value/seeds
				ts, d50 = ts+x.Ts.Value/seeds, d50+x.D50.Value/seeds
			}
			near(t, "T30", t30/rt, 1, 0.02)
			near(t, "C80", c80, ExponentialC80(rt), 0.5)
			near(t, "D50", d50, ExponentialD50(rt), 0.04)
			near(t, "Ts", ts/ExponentialTs(rt), 1, 0.05)
		}
	}
}

// Barron & Lee 1988: 31200·T/V·e^(-0.04 r/T) re the direct sound at 10 m; direct 100/r².
func TestPathFollowsRevisedTheory(t *testing.T) {
	r, err := FromRT(3)
	if err != nil {
		t.Fatal(err)
	}
	r.RT60 = octave.Flat(3)
	src := geometry.Point{Z: 1.2}
	for _, d := range []float64{5, 10, 20, 30} {
		p := r.Path(src, Seat{"x", geometry.Point{Y: d, Z: 1.2}})
		ref := r.intensityToPressure() / (4 * math.Pi * 100)
		near(t, "reverberant", 10*math.Log10(p.Tail[5][0].Gain/ref),
			10*math.Log10(31200*3/r.VolumeM3*math.Exp(-0.04*d/3)), 0.05)
		near(t, "direct", 10*math.Log10(p.Direct[1]/ref), 10*math.Log10(100/(d*d)), 0.05)
	}
}

// IEC 61260-1:2014, Table 1, class 1 (from memory): the least and greatest relative attenuation, dB, of an
// octave filter at G^x, and beyond.
func TestOctaveFilterClass1(t *testing.T) {
	for _, row := range []struct{ x, least, greatest float64 }{
		{0, -0.4, 0.4}, {1. / 8, -0.4, 0.5}, {1. / 4, -0.4, 0.7}, {3. / 8, -0.4, 1.4},
		{0.5 - 1e-6, -0.4, 5.3}, {0.5 + 1e-6, 1.6, math.Inf(1)}, {1, 16.6, math.Inf(1)},
		{2, 40.5, math.Inf(1)}, {3, 60, math.Inf(1)}, {4, 70, math.Inf(1)},
	} {
		for _, sign := range []float64{-1, 1} {
			for band := range octave.N {
				a := -20 * math.Log10(OctaveGain(band, exactCentre(band)*math.Pow(2, sign*row.x)))
				if a < row.least || a > row.greatest {
					t.Errorf("band %g Hz at G^%+.3f: %.2f dB outside %g..%g", octave.Centres[band], sign*row.x, a, row.least, row.greatest)
				}
			}
		}
	}
}

func TestFromRTRefuses(t *testing.T) {
	for _, bad := range []float64{0, -1, math.NaN(), 15.1, math.Inf(1)} {
		if _, err := FromRT(bad); err == nil {
			t.Errorf("FromRT(%v) is accepted", bad)
		}
	}
	for _, good := range []float64{0.2, 6.5, 15} {
		r, err := FromRT(good)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mean of 500 Hz and 1 kHz", (r.RT60[4]+r.RT60[5])/2, good, 1e-6)
	}
}

func TestResampleKeepsASine(t *testing.T) {
	x := make([]float64, 4410)
	for i := range x {
		x[i] = math.Sin(2 * math.Pi * 1000 * float64(i) / 44100)
	}
	y := Resample(x, 44100, 48000)
	for i := 1000; i < 3800; i++ {
		want := math.Sin(2*math.Pi*1000*float64(i)/48000) * 44100 / 48000
		if math.Abs(y[i]-want) > 1e-4 {
			t.Fatalf("sample %d: %g, want %g", i, y[i], want)
		}
	}
}
