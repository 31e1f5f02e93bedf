// Package vector holds the few loops over float32 that the ear spends its time in. On amd64
// they are vector instructions, eight values at a time where the processor can and else four, elsewhere Go; the values
// are the same to the bit, and do not depend on the machine.
//
// All slices of one call are equally long unless said otherwise, a multiple of [Lanes].
package vector

import "math"

// Lanes is how many values go through one instruction.
const Lanes = 8

// Padded is n rounded up to a multiple of Lanes.
func Padded(n int) int { return (n + Lanes - 1) &^ (Lanes - 1) }

// AddScaled adds a·w to x.
func AddScaled(x []float32, a float32, w []float32) {
	if len(w) > 0 {
		x = x[:len(w)]
		addScaled(&x[0], &w[0], len(w)/Lanes, a)
	}
}

// AddScaled3 adds a·w to x, b·w to y and c·w to z.
func AddScaled3(x, y, z []float32, a, b, c float32, w []float32) {
	if len(w) > 0 {
		x, y, z = x[:len(w)], y[:len(w)], z[:len(w)]
		addScaled3(&x[0], &y[0], &z[0], &w[0], len(w)/Lanes, a, b, c)
	}
}

// Around weighs the surroundings of each value: dst[i] is the sum of w[d·len(dst)+i]·x[i+d] over
// d from 0 to taps-1. x is longer than dst by taps-1, w is taps times as long.
func Around(dst, x, w []float32, taps int) {
	n := len(dst)
	if n > 0 && taps > 0 {
		x, w = x[:n+taps-1], w[:n*taps]
		around(&dst[0], &x[0], &w[0], n/Lanes, taps)
	}
}

// Power is dst = (gain·x + add)^exponent − less, to a few parts in ten million of the power. gain·x + add
// must be a positive normal number, and the result within the range of float32.
func Power(dst, x []float32, p *Powers) {
	n := len(dst)
	if n > 0 {
		x = x[:n]
		gain, add, exponent, less := p.Gain[:n], p.Add[:n], p.Exponent[:n], p.Less[:n]
		power(&dst[0], &x[0], &gain[0], &add[0], &exponent[0], &less[0], n/Lanes)
	}
}

// Powers are the constants of [Power], one of each per value.
type Powers struct{ Gain, Add, Exponent, Less []float32 }

// NewPowers makes constants of n values: x to the power 1.
func NewPowers(n int) *Powers {
	p := &Powers{make([]float32, n), make([]float32, n), make([]float32, n), make([]float32, n)}
	for i := range n {
		p.Gain[i], p.Exponent[i] = 1, 1
	}
	return p
}

// In float32 and without fused operations, in the order of the vector instructions.

func addScaledGo(x, w []float32, a float32) {
	for i, v := range w {
		x[i] += float32(a * v)
	}
}

func aroundGo(dst, x, w []float32, taps int) {
	for i := range dst {
		sum := float32(0)
		for d := range taps {
			sum += float32(w[d*len(dst)+i] * x[i+d])
		}
		dst[i] = sum
	}
}

// Coefficients of least greatest error (fitted by iterated weighted least squares): of log2(1+f)/f for
// 1+f from √½ to √2, error of the logarithm below 5e-8; of 2^r for |r| ≤ ½, relative error 7.5e-8.
var (
	logOf = [8]float32{1.4426947734719466, -0.7213571214985482, 0.4809393925100923, -0.36008811709221733,
		0.2867085240257335, -0.25006120138735854, 0.23688261255511625, -0.14575764968513436}
	expOf = [6]float32{1.0000000716553017, 0.6931469670628831, 0.24022119720750623,
		0.055507132750662255, 0.009675541502672214, 0.0013276471959590868}
)

// rootHalf is the bits of √½.
const rootHalf = 0x3f3504f3

func powerGo(dst, x, gain, add, exponent, less []float32) {
	for i, v := range x {
		v = float32(gain[i]*v) + add[i]
		bits := int32(math.Float32bits(v))
		e := (bits - rootHalf) >> 23
		f := math.Float32frombits(uint32(bits-e<<23)) - 1
		f2 := f * f
		low := float32(float32(float32(logOf[3]*f)+logOf[2])*f2) + float32(float32(logOf[1]*f)+logOf[0])
		high := float32(float32(float32(logOf[7]*f)+logOf[6])*f2) + float32(float32(logOf[5]*f)+logOf[4])
		y := float32(float32(float32(high*float32(f2*f2))+low)*f) + float32(e)
		y = float32(y * exponent[i])
		n := math.RoundToEven(float64(y))
		r := y - float32(n)
		r2 := r * r
		high = float32(float32(float32(expOf[5]*r)+expOf[4])*r2) + float32(float32(expOf[3]*r)+expOf[2])
		v = float32(high*r2) + float32(float32(expOf[1]*r)+expOf[0])
		dst[i] = math.Float32frombits(uint32(int32(math.Float32bits(v))+int32(n)<<23)) - less[i]
	}
}
