package response

import (
	"fmt"
	"math"
	"math/cmplx"
	"testing"

	"afterchord/acoustics/geometry"
)

// to is a direction as far to the side (degrees, positive to the right) and up.
func to(side, up float64) geometry.Point {
	s, u := side*math.Pi/180, up*math.Pi/180
	return geometry.Point{X: 10 * math.Sin(s) * math.Cos(u), Y: -10 * math.Cos(s) * math.Cos(u), Z: 10 * math.Sin(u)}
}

// at is the transfer function of x at hz.
func at(x []float64, hz float64, rate int) complex128 {
	var sum complex128
	for i, v := range x {
		sum += complex(v, 0) * cmplx.Rect(1, -2*math.Pi*hz*float64(i)/float64(rate))
	}
	return sum
}

func TestInterauralTimeDifference(t *testing.T) {
	for _, row := range []struct{ side, want, slack float64 }{ // degrees, ms
		{0, 0, 0},
		{90, 0.66, 0.005}, // (a/c)(π/2 + 1), the value commonly quoted for a = 8.75 cm
		{30, 0.0875 / 343 * (math.Pi/6 + 0.5) * 1e3, 1e-9},
		// The worked example of the Maple help page 'Interaural Time Delay': 0.8 ms at the side of a head of 11 cm.
		{90, 0.8 * 0.0875 / 0.11, 0.03},
	} {
		s := row.side * math.Pi / 180
		got := 1e3 * (EarDelay(math.Pi/2+s, 343) - EarDelay(math.Pi/2-s, 343))
		if !(math.Abs(got-row.want) <= row.slack) {
			t.Errorf("%g° to the side: %.4f ms for %.4f", row.side, got, row.want)
		}
	}
}

// What is rendered has the delays: at high frequencies Woodworth's, at low ones those of a sphere small against the wavelength,
// 3(a/c)·sin φ (Kuhn, J. Acoust. Soc. Am. 62 (1977) 157, from memory), which the filter brings about.
func TestRenderedTimeDifference(t *testing.T) {
	const c, rate = 343.0, 48000
	for _, side := range []float64{0, 5, 20, 45, 70, 90} {
		h := Head(to(side, 0), 0.01, c, rate)
		lag := func(hz float64) float64 {
			return cmplx.Phase(at(h.R, hz, rate)/at(h.L, hz, rate)) / (2 * math.Pi * hz) * 1e6
		}
		turns := func(hz float64) float64 { // group delay
			return cmplx.Phase(at(h.R, hz+20, rate)/at(h.L, hz+20, rate)/(at(h.R, hz-20, rate)/at(h.L, hz-20, rate))) / (2 * math.Pi * 40) * 1e6
		}
		s := side * math.Pi / 180
		ray, low := HeadRadius/c*(s+math.Sin(s))*1e6, 3*HeadRadius/c*math.Sin(s)*1e6
		t.Logf("%2.0f°: %.0f µs at 100 Hz (%.0f for a small sphere), %.0f µs at 14 kHz (%.0f by rays)", side, lag(100), low, turns(14000), ray)
		if got := lag(100); math.Abs(got-low) > 0.15*low+0.01 {
			t.Errorf("%g°: %.1f µs at 100 Hz for %.1f", side, got, low)
		}
		if got := turns(14000); math.Abs(got-ray) > 12 {
			t.Errorf("%g°: %.1f µs at 14 kHz for %.1f", side, got, ray)
		}
	}
}

// The rows are the formula of Brown & Duda 1998 worked by hand: α(θ) = 1.05 + 0.95·cos(1.2·θ).
func TestHeadShadow(t *testing.T) {
	for _, row := range []struct{ degrees, alpha float64 }{{0, 2}, {75, 1.05}, {150, 0.1}, {180, 0.2814}} {
		if got := ShadowGain(row.degrees * math.Pi / 180); math.Abs(got-row.alpha) > 1e-4 {
			t.Errorf("α(%g°) = %.4f for %.4f", row.degrees, got, row.alpha)
		}
	}
	const c, rate = 343.0, 96000
	for _, row := range []struct{ side, limit float64 }{ // dB: 20·log10 of the two α
		{0, 0}, {90, 20 * math.Log10(2/0.2814)}, {60, 20 * math.Log10(1.8186/0.1)},
	} {
		h := Head(to(row.side, 0), 0.01, c, rate)
		level := func(hz float64) float64 { return 20 * math.Log10(cmplx.Abs(at(h.R, hz, rate)/at(h.L, hz, rate))) }
		line := ""
		last := -1e-9
		for _, hz := range []float64{100, 500, 1000, 2000, 4000, 8000, 16000, 36000} {
			got := level(hz)
			line += fmt.Sprintf(" %.1f", got)
			if got < last-1e-9 {
				t.Errorf("%g°: %.2f dB at %g Hz, less than below", row.side, got, hz)
			}
			last = got
		}
		t.Logf("%g°:%s dB for a limit of %.1f", row.side, line, row.limit)
		if math.Abs(last-row.limit) > 0.5 || math.Abs(level(30)) > 0.1 {
			t.Errorf("%g°: %.2f dB at 36 kHz for %.2f, %.2f dB at 30 Hz", row.side, last, row.limit, level(30))
		}
	}
}

// A level means the same with and without a head.
func TestTwoEarsHaveThePowerOfOnePlace(t *testing.T) {
	for _, rate := range []int{44100, 48000, 96000} {
		for _, side := range []float64{0, 33, 90, 140, -75} {
			for _, up := range []float64{0, 40, -90} {
				h := Head(to(side, up), 0.0123456, 343, rate)
				for _, hz := range []float64{20, 100, 700, 1250, 3000, 9000, 16000} {
					l, r := cmplx.Abs(at(h.L, hz, rate)), cmplx.Abs(at(h.R, hz, rate))
					if db := 10 * math.Log10((l*l+r*r)/2); math.Abs(db) > 0.1 {
						t.Errorf("%d Hz, %g° and %g° up, %g Hz: %+.2f dB", rate, side, up, hz, db)
					}
				}
			}
		}
	}
}

func ExampleEarDelay() {
	const c = 343
	side := math.Pi / 2 // to the right
	late := EarDelay(math.Pi/2+side, c) - EarDelay(math.Pi/2-side, c)
	fmt.Printf("the left ear hears it %.2f ms later\n", 1000*late)
	// Output: the left ear hears it 0.66 ms later
}
