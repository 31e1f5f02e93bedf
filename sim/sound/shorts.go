package sound

import "math"

// Sound of pipes is kept in 16 bits: a plenum so takes half the memory, and mixing, which waits for memory, reads half as much. What
// rounding adds lies some 90 dB below the pipe, spread over all frequencies, so that a pipe of 90 dB leaves it below the threshold of hearing.

// unitFor is what 1 stands for in 16 bits so that all of a sound fits, from its peak.
func unitFor(peak float64) float64 {
	if peak == 0 {
		return 1
	}
	return peak / math.MaxInt16
}

// shortsScalar rounds x to whole units, of which scale make 1. The conversion keeps a processor from fusing product and sum, which would
// round otherwise.
func shortsScalar(dst []int16, x []float64, scale float64) {
	for i, v := range x {
		const up = 1 << 15 // so that the cut is a rounding on either side of 0
		dst[i] = int16(int32(float64(v*scale)+(up+0.5)) - up)
	}
}
