package musicxml

import (
	"afterchord/sim/score"
)

// Limits on the length of a piece; its bars count as often as they are played.
const (
	maxBars   = 20_000
	maxPlayed = 50_000
	maxEvents = 2_000_000
	maxHours  = 24 // of music
	minTicks  = 480
	maxTicks  = 1 << 20
)

// resolution is the least common multiple of all divisions, at least minTicks.
func (r *reader) resolution() error {
	lcm := 1
	for _, p := range r.src.parts {
		for _, m := range p.measures {
			for _, a := range elements(m.el, "attributes") {
				d := child(a, "divisions")
				if d == nil {
					continue
				}
				v, ok := number(d.Text())
				if !ok || v <= 0 || v > 1e6 {
					return r.fail(p, m, "divisions of %q are not a positive number up to a million", clip(d.Text()))
				}
				if n := int(v); float64(n) == v && lcm/gcd(lcm, n)*n <= maxTicks {
					lcm = lcm / gcd(lcm, n) * n
				} else {
					r.remark(m.index, 0, p.first, "divisions of %g do not fit the other bars: positions are rounded", v)
				}
			}
		}
	}
	tpq := lcm
	if tpq%3 != 0 && tpq <= maxTicks { // the thirds of ornaments too
		tpq *= 3
	}
	for tpq < minTicks || tpq%8 != 0 { // demisemiquavers, halves and quarters come out whole
		tpq *= 2
	}
	r.tpq = score.Tick(tpq)
	r.s.TicksPerCrotchet = r.tpq
	return nil
}

func gcd(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
}
