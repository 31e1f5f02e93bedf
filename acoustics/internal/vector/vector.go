// Package vector holds the few loops over float32 that the ear spends its time in. On amd64
// they are vector instructions, eight values at a time where the processor can (some loops sixteen), else four or those in Go, as
// elsewhere; the values are the same to the bit, and do not depend on the machine.
//
// All slices of one call are equally long unless said otherwise, a multiple of [Lanes].
package vector

import "math"

// Lanes is how many values go through one instruction.
const Lanes = 8

// Around weighs the surroundings of each value: dst[i] is the sum of w[d·len(dst)+i]·x[i+d] over
// d from 0 to taps-1. x is longer than dst by taps-1, w is taps times as long.
func Around(dst, x, w []float32, taps int) {
	n := len(dst)
	if n > 0 && taps > 0 {
		x, w = x[:n+taps-1], w[:n*taps]
		around(&dst[0], &x[0], &w[0], n/Lanes, taps)
	}
}

// Masked is masked = k·masker + quiet, edge = masker + masked and ratio = masked/s, of an s that is less than least as if it
// were least, which is positive.
func Masked(masked, edge, ratio, s, masker, k, quiet []float32, least float32) {
	if n := len(masked); n > 0 {
		setMasked(masked, edge[:n], ratio[:n], s[:n], masker[:n], k[:n], quiet[:n], least)
	}
}

// Partial is, in each place and never less than 0,
//
//	both − (edge−quiet)·ratio                              where s ≥ masked,
//	r^1.5·quiet·(both−rest)/(edge−rest), r = 2s/(s+masked) where it is less,
//	0                                                      where s ≤ least.
func Partial(dst, s, masked, both, edge, rest, ratio, quiet []float32, least float32) {
	if n := len(dst); n > 0 {
		partial(dst, s[:n], masked[:n], both[:n], edge[:n], rest[:n], ratio[:n], quiet[:n], least)
	}
}

// Most is the greatest of x, 0 where none is greater.
func Most(x []float32) float32 {
	if len(x) == 0 {
		return 0
	}
	return most(x)
}

// Enter is dst = power·transfer, 0 where that is less than least or no number, and no more than most. dst may have any length.
func Enter(dst []float32, power, transfer []float64, least, most float64) {
	n := len(dst)
	enter(dst, power[:n], transfer[:n], least, most)
}

// Add2 is dst = a + b.
func Add2(dst, a, b []float32) {
	if n := len(dst); n > 0 {
		add2(dst, a[:n], b[:n])
	}
}

// Add3 is dst = a + b + c.
func Add3(dst, a, b, c []float32) {
	if n := len(dst); n > 0 {
		add3(dst, a[:n], b[:n], c[:n])
	}
}

// Faint weakens dst by r^1.5, r = 2e/(e+quiet), where e is less than quiet; it is never less than 0 there.
func Faint(dst, e, quiet []float32) {
	if n := len(dst); n > 0 {
		faint(dst, e[:n], quiet[:n])
	}
}

// Power is dst = (gain·x + add)^exponent − less, to a few parts in ten million of the power. gain·x + add
// must be a positive normal number, and the result within the range of float32.
func Power(dst, x []float32, p *Powers) {
	if n := len(dst); n > 0 {
		power(dst, x[:n], p)
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

func enterGo(dst []float32, power, transfer []float64, least, most float64) {
	for i, t := range transfer {
		v := power[i] * t
		switch {
		case !(v >= least):
			v = 0
		case v > most:
			v = most
		}
		dst[i] = float32(v)
	}
}

func add2Go(dst, a, b []float32) {
	for i, v := range a {
		dst[i] = v + b[i]
	}
}

func add3Go(dst, a, b, c []float32) {
	for i, v := range a {
		dst[i] = v + b[i] + c[i]
	}
}

func faintGo(dst, e, quiet []float32) {
	for i, v := range e {
		if q := quiet[i]; v < q {
			r := (v + v) / (v + q)
			dst[i] = max(0, float32(dst[i]*float32(r*float32(math.Sqrt(float64(r))))))
		}
	}
}

func mostGo(x []float32) float32 {
	m := float32(0)
	for _, v := range x {
		m = max(m, v)
	}
	return m
}

func setMaskedGo(masked, edge, ratio, s, masker, k, quiet []float32, least float32) {
	for i, m := range masker {
		masked[i] = float32(k[i]*m) + quiet[i]
		edge[i] = m + masked[i]
		ratio[i] = masked[i] / max(s[i], least)
	}
}

func partialGo(dst, s, masked, both, edge, rest, ratio, quietLaw []float32, least float32) {
	for i, v := range s {
		x := float32(0)
		switch {
		case v <= least:
		case v >= masked[i]:
			x = both[i] - float32((edge[i]-quietLaw[i])*ratio[i])
		default:
			r := (v + v) / (v + masked[i])
			x = r * float32(math.Sqrt(float64(r))) * quietLaw[i] * (both[i] - rest[i]) / (edge[i] - rest[i])
		}
		dst[i] = max(0, x)
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

func powerGo(dst, x []float32, p *Powers) {
	gain, add, exponent, less := p.Gain, p.Add, p.Exponent, p.Less
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
