package sound

import (
	"math"

	"afterchord/voicing"
)

// release is how the partials of one group die away once the pallet has shut: each group keeps its own time, so that the high
// partials of a low pipe are gone long before its fundamental. The group that dies soonest is what the pipe's loop holds beside
// the others, so it has no loop of its own: the pipe's loop falls in its time, and what the other groups have more is added.
type release struct {
	loop  groupLoop // of the group alone; none for the last
	rise  []float32 // rms of the group re steady at every gridth sample of the onset
	curve []float32 // share of the amplitude that is left every step samples after the pallet shut, 0 at the end
	// step is the length of the straight lines that make up the fall: a power of two, at most a quarter of its time
	// constant (then within 0.8 % of the exponential).
	step int64
}

func newRelease(group []voicing.Partial, releaseS float64, onset, rate int, buf *buffers) release {
	tau := math.Max(1, releaseS*float64(rate))
	r := release{rise: riseCurve(group, onset, rate, buf), step: min(grid, int64(1)<<max(2, int(math.Log2(tau/4))))}
	r.curve = make([]float32, int(math.Ceil(fadeSpan*tau/float64(r.step)))+1)
	for i := range len(r.curve) - 1 {
		x := float64(int64(i)*r.step) / tau
		r.curve[i] = float32((math.Exp(-x) - fadeFloor) / (1 - fadeFloor))
	}
	return r
}

// groupLoop is some periods of the partials of one group. A release is short, so it may lie further from the pipe's pitch than the
// loop of a pipe that is held, and is short enough for those of all pipes to be kept.
type groupLoop struct {
	samples []int16
	unit    float64 // what 1 stands for in samples, see [shorts]
	phases  int     // different phases of the fundamental among the samples
	next    int     // samples from one phase to the next later one
}

// shortestGroupLoop is the length of the shortest loop of a group, samples; pipes with longer periods take one period. Rounding to
// whole samples mistunes by a cent at most.
const shortestGroupLoop = 1024

// groupLoopLength finds the whole periods and samples, up to twice the shortest loop, that leave the phase of the pipe least: where
// the pallet shuts, by the phases that a loop has, and after it, by its pitch, over releasePeriods.
func groupLoopLength(period float64) (periods, samples int) {
	const releasePeriods = 50
	best := math.Inf(1)
	first := max(1, int(math.Ceil(shortestGroupLoop/period)))
	for k := first; k == first || float64(k)*period <= 2*shortestGroupLoop; k++ {
		near := int(math.Round(float64(k) * period))
		for n := near - 1; n <= near+1; n++ {
			phases := n / commonDivisor(k, n)
			e := releasePeriods*math.Abs(float64(k)*period/float64(n)-1) + 0.5/float64(phases)
			if e < best {
				best, periods, samples = e, k, n
			}
		}
	}
	return periods, samples
}

func newGroupLoop(group []voicing.Partial, period float64, buf *buffers) groupLoop {
	periods, length := groupLoopLength(period)
	sum := cleared(&buf.part, length)
	bank := buf.bank[:0]
	for _, q := range group {
		bank = append(bank, steady(q, math.Sqrt(2*q.Power), periods, length, length))
	}
	ring(sum, bank)
	buf.bank = bank
	d := commonDivisor(periods, length)
	l := groupLoop{samples: make([]int16, length), unit: unitFor(largest(sum)), phases: length / d}
	shorts(l.samples, sum, l.unit)
	for l.next = 1; l.next < l.phases && l.next*(periods/d)%l.phases != 1; l.next++ {
	}
	return l
}

// enter is the sample of the loop in the phase nearest to phase (cycles of the fundamental, 0 to 1).
func (l *groupLoop) enter(phase float64) int64 {
	return int64(int(math.Round(phase*float64(l.phases)))%l.phases*l.next) % int64(l.phases)
}

func commonDivisor(a, b int) int {
	for b != 0 {
		a, b = b, a%b
	}
	return a
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
	i := int(n / r.step)
	if i+1 >= len(r.curve) {
		return 0
	}
	f := float64(n%r.step) / float64(r.step)
	return float64(r.curve[i])*(1-f) + float64(r.curve[i+1])*f
}

// end is how many samples the release lasts.
func (r *release) end() int64 { return int64(len(r.curve)-1) * r.step }

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
	if len(s.releases) == 0 || at >= v.end {
		return
	}
	gain := wander(s.seed, v.origin+v.off)
	sounded := v.off - v.start
	rising := sounded < int64(len(s.onset))
	lead := s.releases[0].step
	held := func(r *release) float64 {
		if rising {
			return gain * curveAt(r.rise, sounded)
		}
		return gain
	}
	last := &s.releases[len(s.releases)-1]
	lastHeld := held(last)
	length := int64(len(s.loop))
	ahead := s.glide.ahead(int(sounded))
	whole := int64(math.Round(ahead))
	turns := float64(s.periods) * (float64(sounded%length) + ahead) / float64(length)
	phase := turns - math.Floor(turns)
	for i := range s.releases {
		r := &s.releases[i]
		loop, unit, enter := r.loop.samples, r.loop.unit, int64(0)
		if r == last {
			loop, unit, enter = s.loop, s.unit, ((sounded+whole-int64(len(s.onset)))%length+length)%length
		} else {
			enter = r.loop.enter(phase)
		}
		rHeld := held(r)
		level := func(t int64) float64 {
			n := t - v.off
			g := rHeld * r.fall(n)
			if r != last {
				g -= lastHeld * last.fall(n)
			}
			if rising && n < lead {
				g *= float64(n) / float64(lead)
			}
			return g
		}
		add := func(out []float32, t int64, g, step float64) {
			pos := (enter + t - v.off) % int64(len(loop))
			for len(out) > 0 {
				m := min(len(out), len(loop)-int(pos))
				rampShorts(out[:m], loop[pos:], float32(unit*g), float32(unit*step))
				g += step * float64(m)
				out, pos = out[m:], 0
			}
		}
		v.segments(dst, at, v.off, v.off+last.end(), v.off, last.step, level, add)
		v.segments(dst, at, v.off+last.end(), v.off+r.end(), v.off, r.step, level, add)
	}
	if !rising {
		return
	}
	r := &s.releases[0]
	onset := func(t int64) float64 {
		return gain * r.fall(t-v.off) * max(0, 1-float64(t-v.off)/float64(lead))
	}
	v.segments(dst, at, v.off, v.off+lead, v.off, lead, onset, func(out []float32, t int64, g, step float64) {
		if pos := t - v.start; pos < int64(len(s.onset)) {
			n := min(len(out), len(s.onset)-int(pos))
			rampShorts(out[:n], s.onset[pos:], float32(s.unit*g), float32(s.unit*step))
		}
	})
	if sounded < int64(len(v.chiff)) {
		level := func(t int64) float64 { return gain * r.fall(t-v.off) }
		v.segments(dst, at, v.off, min(v.off+r.end(), v.start+int64(len(v.chiff))), v.off, r.step, level, func(out []float32, t int64, g, step float64) {
			mixChiff(out, v.chiff, t-v.start, v.unit*g, v.unit*step)
		})
	}
}

// segments cuts what lies of from to to (absolute samples) within dst, which begins at the absolute sample at, at every multiple of
// step after origin, and hands each piece to add with its level, which moves in a straight line.
func (v *voice) segments(dst []float32, at, from, to, origin, step int64, level func(t int64) float64, add func(out []float32, t int64, g, step float64)) {
	from, to = max(at, from), min(at+int64(len(dst)), to)
	if from >= to {
		return
	}
	g0 := level(from)
	for t := from; t < to; {
		next := min(to, origin+((t-origin)/step+1)*step)
		g1 := level(next)
		add(dst[t-at:next-at], t, g0, (g1-g0)/float64(next-t))
		t, g0 = next, g1
	}
}
