package sound

import (
	"math"

	"afterchord/acoustics/splitmix"
)

// grid is how often gains are computed, samples; between, they move in straight lines. A pipe that is held wanders so slowly that heldGrid is
// near enough: within 0.004 dB of its wander.
const (
	grid     = 256
	heldGrid = 4 * grid
)

// voice is one sounding of one pipe.
type voice struct {
	sound  *pipeSound
	origin int64 // sample of the piece at which absolute sample 0 lies
	start  int64 // first sound, absolute sample
	off    int64 // pallet shut
	end    int64 // nothing left
	held   float64
	chiff  []int16
	unit   float64 // what 1 stands for in chiff
}

func newVoice(s *pipeSound, on, off, origin int64) voice {
	v := voice{sound: s, origin: origin, start: on + s.strike(origin+on), off: off}
	v.end = off + int64(fadeSpan*s.release)
	if len(s.releases) > 0 {
		v.end = off + s.releases[0].end()
	}
	if off <= v.start { // shut before it spoke
		v.end = v.start
	}
	v.held = s.risen(off - v.start)
	v.chiff, v.unit = s.chiff.take(s.seed, origin+v.start)
	return v
}

// strike is how many samples a pipe whose pallet opens at sample on of the piece takes to its first sound: its dead time, half a period more or
// less by chance. The phase in which a pipe begins is not tied to its key, so that notes struck again do not add up as copies would.
func (s *pipeSound) strike(on int64) int64 {
	return max(0, int64(s.dead)+int64(math.Round(s.period/2*hash(s.seed^0x57a1, on))))
}

// risen is the share of the steady rms reached n samples after the first sound.
func (s *pipeSound) risen(n int64) float64 { return curveAt(s.rise, n) }

// wanderDB is the depth of the slow wander of a pipe's level (chosen by ear of
// the beating of blended stops, not measured): enough that a held chord is not a fixed waveform.
const wanderDB = 0.15

// wander is a smooth random gain at sample t of the piece, new values every 8192 samples at most.
func wander(seed uint64, t int64) float64 {
	const step = 8192
	t += int64(seed & (step - 1)) // not all at the same moment
	i, f := t/step, float64(t%step)/step
	a, b := hash(seed, i), hash(seed, i+1)
	f = f * f * (3 - 2*f)
	return 1 + wanderDB*math.Ln10/20*(a+(b-a)*f)
}

// hash is a number from -1 to 1.
func hash(seed uint64, i int64) float64 {
	z := splitmix.Mix(seed + uint64(i)*splitmix.Step)
	return float64(int64(z)>>10) / (1 << 53)
}

// mix adds the voice to dst, whose first sample is the absolute sample at (a multiple of grid).
func (v *voice) mix(dst []float32, at int64) {
	if at < v.off {
		v.mixHeld(dst, at)
	}
	if at+int64(len(dst)) > v.off && v.end > v.start {
		v.mixRelease(dst, at)
	}
}

// mixHeld adds what sounds until the pallet shuts, with a slow wander of its level.
func (v *voice) mixHeld(dst []float32, at int64) {
	s := v.sound
	level := func(t int64) float64 { return wander(s.seed, v.origin+t) }
	v.segments(dst, at, v.start, min(v.off, v.end), 0, heldGrid, level, func(out []float32, t int64, g, step float64) {
		pos := t - v.start
		for len(out) > 0 {
			var src []int16
			if pos < int64(len(s.onset)) {
				src = s.onset[pos:]
			} else {
				src = s.loop[(pos-int64(len(s.onset)))%int64(len(s.loop)):]
			}
			m := min(len(src), len(out))
			rampShorts(out[:m], src, float32(s.unit*g), float32(s.unit*step))
			mixChiff(out[:m], v.chiff, pos, v.unit*g, v.unit*step)
			g += step * float64(m)
			out = out[m:]
			pos += int64(m)
		}
	})
}
