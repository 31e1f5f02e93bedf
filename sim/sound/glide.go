package sound

import (
	"math"

	"afterchord/voicing"
)

// glideSpan: a glide is over after so many of its time constants.
const glideSpan = 6

// glide is how a pipe comes to its pitch: at sample t after the first sound it is as far in its wave as a steady one at t+ahead(t).
type glide struct {
	from, tau float64 // samples
	n         int     // samples until it is over
}

func newGlide(s voicing.Speech, rate int) glide {
	g := glide{tau: s.GlideS * float64(rate)}
	g.from = -math.Expm1(s.GlideCents/1200*math.Ln2) * g.tau
	if math.Abs(g.from) < 0.1 {
		return glide{}
	}
	g.n = int(math.Ceil(glideSpan * g.tau))
	return g
}

// ahead is above 0 for a pipe that begins flat, 0 where the glide is over.
func (g *glide) ahead(t int) float64 {
	if t >= g.n {
		return 0
	}
	floor := math.Exp(-float64(g.n) / g.tau)
	return g.from * (math.Exp(-float64(t)/g.tau) - floor) / (1 - floor)
}

// lead is how many samples into its wave a pipe begins.
func (g *glide) lead() int { return int(math.Floor(g.ahead(0))) }

// besides is how much more of a wave than asked for is wanted to bend it.
func (g *glide) besides() int { return max(0, -g.lead()) + sincTaps }

// bend reads steady, a wave from sample lead on, as the pipe comes to its pitch; dst is shorter by besides.
func (g *glide) bend(dst, steady []float64) {
	if g.n == 0 {
		copy(dst, steady)
		return
	}
	table, lead := sincTable(), g.lead()
	floor, fall := math.Exp(-float64(g.n)/g.tau), math.Exp(-1/g.tau)
	scale, e := g.from/(1-floor), 1.0
	var before [3 * sincTaps / 2]float64 // nothing sounds before the beginning
	copy(before[sincTaps/2:], steady)
	n := min(g.n, len(dst))
	for t := range n {
		pos := float64(t-lead) + scale*(e-floor)
		e *= fall
		if pos < sincTaps/2 {
			dst[t] = between(table, before[:], pos+sincTaps/2)
			continue
		}
		dst[t] = between(table, steady, pos)
	}
	if n < len(dst) {
		copy(dst[n:], steady[n-lead:])
	}
}
