package vector

import "golang.org/x/sys/cpu"

// wide says whether the processor takes eight values at a time (AVX2); without, a loop takes four or is the one in Go. The bits
// are the same.
var wide = cpu.X86.HasAVX2

// widest says whether it takes sixteen (AVX-512).
var widest = cpu.X86.HasAVX512F

func (s *Spreading) fill(x, a []float32) {
	if widest {
		fillWidest(&x[0], &a[0], &s.Weights[0], &s.rows[0], &s.Reach[0], len(s.Reach))
		return
	}
	if wide {
		fillWide(&x[0], &a[0], &s.Weights[0], &s.rows[0], &s.Reach[0], len(s.Reach))
		return
	}
	s.fillGo(x, a)
}

func (s *Spreading) fill3(x, y, z, a, b, c []float32) {
	if widest {
		fill3Widest(&x[0], &y[0], &z[0], &a[0], &b[0], &c[0], &s.Weights[0], &s.rows[0], &s.Reach[0], len(s.Reach))
		return
	}
	if wide {
		fill3Wide(&x[0], &y[0], &z[0], &a[0], &b[0], &c[0], &s.Weights[0], &s.rows[0], &s.Reach[0], len(s.Reach))
		return
	}
	s.fill3Go(x, y, z, a, b, c)
}

func (s *Spreading) choose(level []float32, c *Choice) (most int, all bool) {
	if !widest {
		return s.chooseGo(level, c)
	}
	n := len(level)
	highest, least, greatest := chooseWidest(&s.rows[0], &level[0], &c.made[:n*c.count][0], n/Block, c.count, c.steps, int32(c.levels[len(c.levels)-1]))
	s.greatest = greatest
	return int(highest), least != 0
}

func enter(dst []float32, power, transfer []float64, least, most float64) {
	if fours := len(dst) / 4; wide && fours > 0 {
		enterFours(&dst[0], &power[0], &transfer[0], fours, least, most)
		dst, power, transfer = dst[4*fours:], power[4*fours:], transfer[4*fours:]
	}
	enterGo(dst, power, transfer, least, most)
}

func add2(dst, a, b []float32) {
	if wide {
		add2Wide(&dst[0], &a[0], &b[0], len(dst)/Lanes)
		return
	}
	add2Go(dst, a, b)
}

func add3(dst, a, b, c []float32) {
	if wide {
		add3Wide(&dst[0], &a[0], &b[0], &c[0], len(dst)/Lanes)
		return
	}
	add3Go(dst, a, b, c)
}

func faint(dst, e, quiet []float32) {
	if wide {
		faintWide(&dst[0], &e[0], &quiet[0], len(dst)/Lanes)
		return
	}
	faintGo(dst, e, quiet)
}

func most(x []float32) float32 {
	if wide {
		return mostWide(&x[0], len(x)/Lanes)
	}
	return mostGo(x)
}

func setMasked(masked, edge, ratio, s, masker, k, quiet []float32, least float32) {
	if wide {
		setMaskedWide(&masked[0], &edge[0], &ratio[0], &s[0], &masker[0], &k[0], &quiet[0], len(s)/Lanes, least)
		return
	}
	setMaskedGo(masked, edge, ratio, s, masker, k, quiet, least)
}

func partial(dst, s, masked, both, edge, rest, ratio, quiet []float32, least float32) {
	if wide {
		partialWide(&dst[0], &s[0], &masked[0], &both[0], &edge[0], &rest[0], &ratio[0], &quiet[0], len(s)/Lanes, least)
		return
	}
	partialGo(dst, s, masked, both, edge, rest, ratio, quiet, least)
}

func power(dst, x []float32, p *Powers) {
	n := len(dst)
	if widest && n%Block == 0 {
		powerWidest(&dst[0], &x[0], &p.Gain[:n][0], &p.Add[:n][0], &p.Exponent[:n][0], &p.Less[:n][0], n/Block)
		return
	}
	powerEights(&dst[0], &x[0], &p.Gain[:n][0], &p.Add[:n][0], &p.Exponent[:n][0], &p.Less[:n][0], n/Lanes)
}

// Each is the loop of the same name in Go, over eights times eight values or over blocks.

//go:noescape
func fillWide(x, a, weights *float32, rows *int32, reach *Reach, blocks int)

//go:noescape
func fill3Wide(x, y, z, a, b, c, weights *float32, rows *int32, reach *Reach, blocks int)

//go:noescape
func fillWidest(x, a, weights *float32, rows *int32, reach *Reach, blocks int)

//go:noescape
func fill3Widest(x, y, z, a, b, c, weights *float32, rows *int32, reach *Reach, blocks int)

//go:noescape
func chooseWidest(rows *int32, level *float32, made *int32, blocks, count int, steps float32, highest int32) (most, least, greatest int32)

//go:noescape
func enterFours(dst *float32, power, transfer *float64, fours int, least, most float64)

//go:noescape
func add2Wide(dst, a, b *float32, eights int)

//go:noescape
func add3Wide(dst, a, b, c *float32, eights int)

//go:noescape
func faintWide(dst, e, quiet *float32, eights int)

//go:noescape
func mostWide(x *float32, eights int) float32

//go:noescape
func setMaskedWide(masked, edge, ratio, s, masker, k, quiet *float32, eights int, least float32)

//go:noescape
func partialWide(dst, s, masked, both, edge, rest, ratio, quiet *float32, eights int, least float32)

//go:noescape
func around(dst, x, w *float32, eights, taps int)

//go:noescape
func powerEights(dst, x, gain, add, exponent, less *float32, eights int)

//go:noescape
func powerWidest(dst, x, gain, add, exponent, less *float32, sixteens int)
