package measure

import (
	"fmt"
	"math"
)

// Onset is the first sample of ir, at rate (Hz), within 20 dB of its peak: when the direct sound comes (ISO 3382-1, from
// memory). What is no sound, or ends within 50 ms, is an error.
func Onset(ir []float64, rate int) (int, error) {
	if rate < 1000 || rate > 1<<20 {
		return 0, fmt.Errorf("sample rate %d Hz: give 1000 to %d", rate, 1<<20)
	}
	var peak float64
	for i, v := range ir {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return 0, fmt.Errorf("sample %d is not a number", i)
		}
		peak = max(peak, math.Abs(v))
	}
	if peak < 1e-9 {
		return 0, ErrSilent
	}
	for i, v := range ir {
		if math.Abs(v) >= peak/10 {
			if len(ir)-i < rate/20 {
				return 0, ErrTooShort
			}
			return i, nil
		}
	}
	return 0, ErrSilent
}

// clipped tells whether the peak value stands on three samples in a row, twice or more.
func clipped(x []float64) bool {
	var peak float64
	for _, v := range x {
		peak = max(peak, math.Abs(v))
	}
	run, runs := 0, 0
	for _, v := range x {
		if math.Abs(v) >= peak*0.9999 {
			if run++; run == 3 {
				runs++
			}
		} else {
			run = 0
		}
	}
	return runs >= 2
}
