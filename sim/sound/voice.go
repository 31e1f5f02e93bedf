package sound

import "math"

// grid is how often gains are computed, samples; between, they move in straight lines.
const grid = 256

// voice is one sounding of one pipe.
type voice struct {
	sound *pipeSound
	start int64 // first sound, absolute sample
	off   int64 // pallet shut
	end   int64 // nothing left
	held  float64
	chiff []float32
}

// fadeSpan: a release is over after so many time constants; it is lowered by e^-8 = -69 dB
// so that it ends at zero without a step.
const fadeSpan = 8

var fadeFloor = math.Exp(-fadeSpan)

func newVoice(s *pipeSound, on, off int64) voice {
	v := voice{sound: s, start: on + int64(s.dead), off: off}
	v.end = off + int64(fadeSpan*s.release)
	if off <= v.start { // shut before it spoke
		v.end = v.start
	}
	v.held = s.risen(off - v.start)
	v.chiff = s.chiff.take(s.seed, v.start)
	return v
}

// risen is the share of the steady rms reached n samples after the first sound.
func (s *pipeSound) risen(n int64) float64 {
	if n <= 0 {
		return 0
	}
	i := int(n / grid)
	if i+1 >= len(s.rise) {
		return 1
	}
	f := float64(n%grid) / grid
	return float64(s.rise[i])*(1-f) + float64(s.rise[i+1])*f
}

// gain is the level of the voice at sample t re its computed sound: a slow wander while
// held; after the pallet shuts an exponential, which also holds the onset where it had got to.
func (v *voice) gain(t int64) float64 {
	g := wander(v.sound.seed, t)
	if t <= v.off {
		return g
	}
	g *= (math.Exp(-float64(t-v.off)/v.sound.release) - fadeFloor) / (1 - fadeFloor)
	if t-v.start < int64(len(v.sound.onset)) {
		if r := v.sound.risen(t - v.start); r > 0 {
			g *= v.held / r
		}
	}
	return g
}

// wanderDB is the depth of the slow wander of a pipe's level (chosen by ear of
// the beating of blended stops, not measured): enough that a held chord is not a fixed waveform.
const wanderDB = 0.15

// wander is a smooth random gain, new values every 8192 samples at most.
func wander(seed uint64, t int64) float64 {
	const step = 8192
	t += int64(seed & (step - 1)) // not all at the same moment
	i, f := t/step, float64(t%step)/step
	a, b := hash(seed, i), hash(seed, i+1)
	f = f * f * (3 - 2*f)
	return 1 + wanderDB*math.Ln10/20*(a+(b-a)*f)
}

// hash is a number from -1 to 1 (splitmix64).
func hash(seed uint64, i int64) float64 {
	z := seed + uint64(i)*0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	z ^= z >> 31
	return float64(int64(z)>>10) / (1 << 53)
}

// mix adds the voice to dst, whose first sample is the absolute sample at (a multiple of grid).
func (v *voice) mix(dst []float32, at int64) {
	from, to := max(at, v.start), min(at+int64(len(dst)), v.end)
	if from >= to {
		return
	}
	g0 := v.gain(from)
	for t := from; t < to; {
		next := min(to, (t/grid+1)*grid)
		if t < v.off {
			next = min(next, v.off)
		} else {
			next = min(next, (t/v.sound.fadeGrid+1)*v.sound.fadeGrid)
		}
		g1 := v.gain(next)
		n := int(next - t)
		out := dst[t-at : next-at]
		pos := t - v.start
		for len(out) > 0 {
			var src []float32
			if o := v.sound.onset; pos < int64(len(o)) {
				src = o[pos:]
			} else {
				src = v.sound.loop[(pos-int64(len(o)))%int64(len(v.sound.loop)):]
			}
			m := min(len(src), len(out))
			step := (g1 - g0) / float64(n)
			ramp(out[:m], src[:m], float32(g0), float32(step))
			mixChiff(out[:m], v.chiff, pos, g0, step)
			g0 += step * float64(m)
			n -= m
			out = out[m:]
			pos += int64(m)
		}
		t, g0 = next, g1
	}
}
