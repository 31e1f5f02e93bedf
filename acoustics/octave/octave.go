// Package octave names the octave bands that rooms and swell boxes are described in.
package octave

import "math"

// N is the number of octave bands.
const N = 9

// Centres are the nominal centre frequencies, Hz (IEC 61260-1).
var Centres = [N]float64{31.5, 63, 125, 250, 500, 1000, 2000, 4000, 8000}

// Bands holds one value for each octave band.
type Bands [N]float64

// Index is the band that holds hz; what lies outside belongs to the first or last.
// Band edges lie half an octave from the exact centres 1000·2^k Hz.
func Index(hz float64) int {
	if !(hz > 0) {
		return 0
	}
	return min(N-1, max(0, int(math.Floor(math.Log2(hz/1000)+0.5))+5))
}

// Flat returns Bands with v in each.
func Flat(v float64) Bands {
	var b Bands
	for i := range b {
		b[i] = v
	}
	return b
}
