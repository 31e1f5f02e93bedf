package sound

import (
	"math"

	"afterchord/voicing"
)

// release is how the partials of one group die away once the pallet has shut: each group keeps its own time, so that the high
// partials of a low pipe are gone long before its fundamental.
type release struct {
	loop []float32 // of the group alone, in step with the pipe's loop
	rise []float32 // rms of the group re steady at every gridth sample of the onset
	tau  float64   // time constant of the amplitude, samples
	// step is the length of the straight lines that make up the fall: a power of two, at most a quarter of its time
	// constant (then within 0.8 % of the exponential).
	step int64
}

func newRelease(loop []float32, group []voicing.Partial, releaseS float64, onset, rate int) release {
	tau := math.Max(1, releaseS*float64(rate))
	return release{loop: loop, rise: riseCurve(group, onset, rate), tau: tau, step: min(grid, int64(1)<<max(2, int(math.Log2(tau/4))))}
}

// inGroup are the partials of a group, which follow one another.
func inGroup(partials []voicing.Partial, group int) []voicing.Partial {
	from := 0
	for from < len(partials) && voicing.ReleaseGroup(partials[from].N) < group {
		from++
	}
	to := from
	for to < len(partials) && voicing.ReleaseGroup(partials[to].N) == group {
		to++
	}
	return partials[from:to]
}

// fadeSpan: a release is over after so many time constants; it is lowered by e^-8 = -69 dB
// so that it ends at zero without a step.
const fadeSpan = 8

var fadeFloor = math.Exp(-fadeSpan)

// fall is the share of the amplitude that is left n samples after the pallet shut.
func (r *release) fall(n int64) float64 {
	x := float64(n) / r.tau
	if x >= fadeSpan {
		return 0
	}
	return (math.Exp(-x) - fadeFloor) / (1 - fadeFloor)
}

// end is how many samples the release lasts.
func (r *release) end() int64 { return int64(fadeSpan * r.tau) }

// curveAt is a curve of one value each grid samples at sample n; 0 before its beginning and 1 after its end.
func curveAt(curve []float32, n int64) float64 {
	if n <= 0 {
		return 0
	}
	i := int(n / grid)
	if i+1 >= len(curve) {
		return 1
	}
	f := float64(n%grid) / grid
	return float64(curve[i])*(1-f) + float64(curve[i+1])*f
}

// mixRelease adds what sounds from the shutting of the pallet on to dst, whose first sample is the absolute sample at. A pipe
// shut while it was still rising is led over within a few milliseconds from its onset to its groups, each as loud as it had become.
func (v *voice) mixRelease(dst []float32, at int64) {
	s := v.sound
	rising := v.off-v.start < int64(len(s.onset))
	for i := range s.releases {
		r := &s.releases[i]
		held, lead := 1.0, int64(0)
		if rising {
			held, lead = curveAt(r.rise, v.off-v.start), s.releases[0].step
		}
		level := func(t int64) float64 {
			g := wander(s.seed, t) * held * r.fall(t-v.off)
			if t-v.off < lead {
				g *= float64(t-v.off) / float64(lead)
			}
			return g
		}
		v.segments(dst, at, v.off, v.off+r.end(), r.step, level, func(out []float32, t int64, g, step float64) {
			pos := (t - v.start - int64(len(s.onset))) % int64(len(r.loop))
			if pos < 0 {
				pos += int64(len(r.loop))
			}
			for len(out) > 0 {
				m := min(len(out), len(r.loop)-int(pos))
				ramp(out[:m], r.loop[pos:], float32(g), float32(step))
				g += step * float64(m)
				out, pos = out[m:], 0
			}
		})
	}
	if !rising || len(s.releases) == 0 {
		return
	}
	r := &s.releases[0]
	onset := func(t int64) float64 {
		return wander(s.seed, t) * r.fall(t-v.off) * max(0, 1-float64(t-v.off)/float64(r.step))
	}
	v.segments(dst, at, v.off, v.off+r.step, r.step, onset, func(out []float32, t int64, g, step float64) {
		if pos := t - v.start; pos < int64(len(s.onset)) {
			n := min(len(out), len(s.onset)-int(pos))
			ramp(out[:n], s.onset[pos:], float32(g), float32(step))
		}
	})
	if v.off-v.start < int64(len(v.chiff)) {
		level := func(t int64) float64 { return wander(s.seed, t) * r.fall(t-v.off) }
		v.segments(dst, at, v.off, min(v.off+r.end(), v.start+int64(len(v.chiff))), r.step, level, func(out []float32, t int64, g, step float64) {
			mixChiff(out, v.chiff, t-v.start, g, step)
		})
	}
}

// segments cuts what lies of from to to (absolute samples) within dst, which begins at the absolute sample at, at every multiple of
// step, and hands each piece to add with its level, which moves in a straight line.
func (v *voice) segments(dst []float32, at, from, to, step int64, level func(t int64) float64, add func(out []float32, t int64, g, step float64)) {
	from, to = max(at, from), min(at+int64(len(dst)), to)
	if from >= to {
		return
	}
	g0 := level(from)
	for t := from; t < to; {
		next := min(to, (t/step+1)*step)
		g1 := level(next)
		add(dst[t-at:next-at], t, g0, (g1-g0)/float64(next-t))
		t, g0 = next, g1
	}
}
