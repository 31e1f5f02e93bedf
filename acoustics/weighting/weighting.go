// Package weighting holds the frequency weightings of sound level meters.
package weighting

import "math"

// A is the A-weighting as a power factor at hz (IEC 61672-1:2013, Annex E, the analytical form).
func A(hz float64) float64 {
	f2 := hz * hz
	r := 12194 * 12194 * f2 * f2 /
		((f2 + 20.6*20.6) * math.Sqrt((f2+107.7*107.7)*(f2+737.9*737.9)) * (f2 + 12194*12194))
	return r * r * 1.2589 // +2.00 dB so that 1 kHz is 0 dB
}
