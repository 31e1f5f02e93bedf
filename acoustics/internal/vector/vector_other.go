//go:build !amd64 && !(js && simd128)

package vector

import "unsafe"

func (s *Spreading) fill(x, a []float32) { s.fillGo(x, a) }

func (s *Spreading) fill3(x, y, z, a, b, c []float32) { s.fill3Go(x, y, z, a, b, c) }

func most(x []float32) float32 { return mostGo(x) }

func setMasked(masked, edge, ratio, s, masker, k, quiet []float32, least float32) {
	setMaskedGo(masked, edge, ratio, s, masker, k, quiet, least)
}

func partial(dst, s, masked, both, edge, rest, ratio, quiet []float32, least float32) {
	partialGo(dst, s, masked, both, edge, rest, ratio, quiet, least)
}

func around(dst, x, w *float32, eights, taps int) {
	n := eights * Lanes
	aroundGo(slice(dst, eights), unsafe.Slice(x, n+taps-1), unsafe.Slice(w, n*taps), taps)
}

func power(dst, x []float32, p *Powers) { powerGo(dst, x, p) }

func slice(p *float32, eights int) []float32 { return unsafe.Slice(p, eights*Lanes) }
