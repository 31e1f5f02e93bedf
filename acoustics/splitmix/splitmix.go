// Package splitmix draws the fixed irregularities of pipes, tails and dither: the same seed gives the same draws everywhere.
package splitmix

// Step lies between the states of successive draws: 2⁶⁴ over the golden ratio, made odd (Steele, Lea & Flood 2014).
const Step = 0x9e3779b97f4a7c15

// Mix is the finaliser of SplitMix64 (Steele, Lea & Flood 2014): each bit of x changes half the bits of the result.
// The i-th draw of a seed is Mix(seed + i·Step).
func Mix(x uint64) uint64 {
	x = (x ^ x>>30) * 0xbf58476d1ce4e5b9
	x = (x ^ x>>27) * 0x94d049bb133111eb
	return x ^ x>>31
}
