//go:build js && simd128

package vector

import "unsafe"

// Each is the loop of the same name in Go, over eights times eight values or over blocks; see package simd128.

//go:wasmimport vectors fill
//go:noescape
func fillBlocks(x, a, weights *float32, rows *int32, reach unsafe.Pointer, blocks int32)

//go:wasmimport vectors fill3
//go:noescape
func fill3Blocks(x, y, z, a, b, c, weights *float32, rows *int32, reach unsafe.Pointer, blocks int32)

//go:wasmimport vectors most
//go:noescape
func mostEights(x *float32, eights int32) float32

//go:wasmimport vectors setMasked
//go:noescape
func setMaskedEights(masked, edge, ratio, s, masker, k, quiet *float32, eights int32, least float32)

//go:wasmimport vectors partial
//go:noescape
func partialEights(dst, s, masked, both, edge, rest, ratio, quiet *float32, eights int32, least float32)

//go:wasmimport vectors around
//go:noescape
func aroundEights(dst, x, w *float32, eights, taps int32)

//go:wasmimport vectors power
//go:noescape
func powerEights(dst, x, gain, add, exponent, less *float32, eights int32)

func (s *Spreading) fill(x, a []float32) {
	fillBlocks(&x[0], &a[0], &s.Weights[0], &s.rows[0], unsafe.Pointer(&s.Reach[0]), int32(len(s.Reach)))
}

func (s *Spreading) fill3(x, y, z, a, b, c []float32) {
	fill3Blocks(&x[0], &y[0], &z[0], &a[0], &b[0], &c[0], &s.Weights[0], &s.rows[0], unsafe.Pointer(&s.Reach[0]), int32(len(s.Reach)))
}

func most(x []float32) float32 { return mostEights(&x[0], int32(len(x)/Lanes)) }

func setMasked(masked, edge, ratio, s, masker, k, quiet []float32, least float32) {
	setMaskedEights(&masked[0], &edge[0], &ratio[0], &s[0], &masker[0], &k[0], &quiet[0], int32(len(s)/Lanes), least)
}

func partial(dst, s, masked, both, edge, rest, ratio, quiet []float32, least float32) {
	partialEights(&dst[0], &s[0], &masked[0], &both[0], &edge[0], &rest[0], &ratio[0], &quiet[0], int32(len(s)/Lanes), least)
}

func around(dst, x, w *float32, eights, taps int) {
	aroundEights(dst, x, w, int32(eights), int32(taps))
}

func power(dst, x []float32, p *Powers) {
	n := len(dst)
	powerEights(&dst[0], &x[0], &p.Gain[:n][0], &p.Add[:n][0], &p.Exponent[:n][0], &p.Less[:n][0], int32(n/Lanes))
}
