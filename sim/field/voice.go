package field

import (
	"math"
	"slices"
	"sync/atomic"

	"afterchord/acoustics/octave"
	"afterchord/voicing"
)

// phases is how many starting points within a frame an attack table knows.
const phases = 4

// settled is the share of its steady power at which a component counts as fully up.
const settled = 0.998

// component is one partial of a pipe in its auditory band.
type component struct {
	band  int32
	power float64 // pW
	rise  float64 // 1/τ, 1/s
}

// voice is a pipe as the hall hears it.
type voice struct {
	division int
	dead     float64      // s
	fall     octave.Bands // rate at which its power in each octave band falls once the pallet has shut, 1/s
	attackS  float64      // from first sound until every component is settled
	prompt   bool         // every rise is quicker than the room's decay, so deficit holds
	parts    []component

	bands   []int32   // distinct auditory bands, ascending
	steady  []float64 // pW in each of them
	fade    []float64 // what a frame leaves of each of them once the pallet has shut
	deficit [][maxTerms]float64
	attack  [phases][]float64 // rows of len(bands): power in frame n after the first sound
}

// voice returns the pipe's voice, made once; two that ask at the same time may both make it, to
// the same figures.
func (h *Hall) voice(id voicing.PipeID) *voice {
	slot := &h.voices[h.base[id.Division][id.Stop]+int(id.Rank)<<7+int(id.Key&127)]
	if v := slot.Load(); v != nil {
		return v
	}
	slot.CompareAndSwap(nil, h.newVoice(h.Organ.Pipe(id)))
	return slot.Load()
}

// seatVoices makes a place for the voice of every pipe of the organ.
func (h *Hall) seatVoices() {
	n := 0
	h.base = make([][]int, len(h.Organ.Divisions))
	for d := range h.base {
		for _, s := range h.Organ.Divisions[d].Stops {
			h.base[d] = append(h.base[d], n)
			n += max(1, len(s.Ranks)) << 7
		}
	}
	h.voices = make([]atomic.Pointer[voice], n)
}

func (h *Hall) newVoice(p voicing.Pipe) *voice {
	v := &voice{division: int(p.ID.Division), dead: p.Speech.DeadS}
	slowest := 1e-3
	for _, q := range p.Partials {
		tau := max(q.RiseS, 1e-4)
		slowest = max(slowest, tau)
		v.parts = append(v.parts, component{int32(h.Model.Band(q.Hz)), q.Power, 1 / tau})
	}
	if p.Noise.WindPower > 0 && len(p.Partials) > 0 {
		v.parts = append(v.parts, component{int32(h.Model.Band(p.Noise.WindHz)), p.Noise.WindPower, 1 / slowest})
	}
	v.fall = h.falls(p)
	v.attackS = -slowest * math.Log(1-math.Sqrt(settled))
	slices.SortStableFunc(v.parts, func(a, b component) int { return int(a.band) - int(b.band) })
	for _, c := range v.parts {
		if n := len(v.bands); n == 0 || v.bands[n-1] != c.band {
			v.bands = append(v.bands, c.band)
			v.steady = append(v.steady, 0)
			v.fade = append(v.fade, math.Exp(-v.fall[h.octaveOf[c.band]]*Step))
		}
		v.steady[len(v.steady)-1] += c.power
	}
	v.deficit = make([][maxTerms]float64, len(v.bands))
	v.prompt = true
	i := 0
	for _, c := range v.parts {
		for v.bands[i] != c.band {
			i++
		}
		for t := 0; t < h.terms; t++ {
			d, ok := deficit(c.rise, h.rate[c.band][t])
			v.prompt = v.prompt && ok
			v.deficit[i][t] += c.power * d
		}
	}
	return v
}

// falls is the rate at which the power of p falls in each octave band after its pallet has shut: the one exponential that
// leaves as much energy as the partials do together, which stop one sooner than the other.
func (h *Hall) falls(p voicing.Pipe) octave.Bands {
	var energy, power octave.Bands
	for _, q := range p.Partials {
		o := h.octaveOf[h.Model.Band(q.Hz)]
		energy[o] += q.Power * p.Speech.ReleaseOf(voicing.ReleaseGroup(q.N)) / 2
		power[o] += q.Power
	}
	if p.Noise.WindPower > 0 {
		o := h.octaveOf[h.Model.Band(p.Noise.WindHz)]
		energy[o] += p.Noise.WindPower * p.Speech.ReleaseS / 2
		power[o] += p.Noise.WindPower
	}
	var out octave.Bands
	for o := range out {
		out[o] = 1 / max(5e-5, p.Speech.ReleaseS/2)
		if power[o] > 0 {
			out[o] = min(2e4, power[o]/energy[o])
		}
	}
	return out
}

// deficit is ∫₀^∞ (1-(1-e^(-ax))²)·k·e^(kx) dx of a rise a under a decay k: what a
// pipe's slow start has kept out of the room, seen from the end. ok is false where the
// integral does not converge (a rise slower than the room's decay).
func deficit(a, k float64) (d float64, ok bool) {
	if a <= 1.05*k {
		return 0, false
	}
	// 1-(1-q)² = 2q-q² with q = e^(-ax)
	return k * (2/(a-k) - 1/(2*a-k)), true
}

// table returns the attack rows for a phase (0 … phases-1), made on first use by the
// engine, which is the only caller.
func (v *voice) table(phase int, step float64) []float64 {
	if t := v.attack[phase]; t != nil {
		return t
	}
	rows, n := int(math.Ceil(v.attackS/step))+1, len(v.bands)
	t := make([]float64, rows*n)
	i := 0
	for _, c := range v.parts {
		for v.bands[i] != c.band {
			i++
		}
		// in the middle of the frame, the first sound being phase/phases into frame 0
		late := float64(phase)/phases - 0.5
		e, fall := math.Exp(c.rise*late*step), math.Exp(-c.rise*step)
		for at := i; at < len(t); at += n {
			if a := 1 - e; a > 0 {
				t[at] += c.power * a * a
			}
			e *= fall
		}
	}
	v.attack[phase] = t
	return t
}

// up is the share of steady power that a component has x s after its first sound.
func up(rise, x float64) float64 {
	if x <= 0 {
		return 0
	}
	a := 1 - math.Exp(-rise*x)
	return a * a
}

// charge is what a unit of steady power that has spoken for x s has left in a decay of rate
// k, per unit of steady-state gain: k∫₀ˣ (1-e^(-au))²·e^(-k(x-u)) du.
func charge(a, k, x float64) float64 {
	if x <= 0 {
		return 0
	}
	ek := math.Exp(-k * x)
	return (1 - ek) - 2*k*expDiff(a, k, x, ek) + k*expDiff(2*a, k, x, ek)
}

// expDiff is ∫₀ˣ e^(-au)·e^(-k(x-u)) du = (e^(-kx) - e^(-ax))/(a-k).
func expDiff(a, k, x, ek float64) float64 {
	return expDiffOf(a, k, x, ek, math.Exp(-a*x))
}

// expDiffOf is expDiff where e^(-ax) is known, too.
func expDiffOf(a, k, x, ek, ea float64) float64 {
	if d := a - k; math.Abs(d) > 1e-6*k {
		return (ek - ea) / d
	}
	return x * ek
}

// leave adds what the voice has left in the tail after speaking for x s, box gain g applied,
// to dst[term][band].
func (h *Hall) leave(dst *[maxTerms][]float64, v *voice, x float64, g *octave.Bands) {
	gain := h.gain[v.division]
	if x < v.attackS || !v.prompt {
		for _, c := range v.parts {
			o := h.octaveOf[c.band]
			for t := 0; t < h.terms; t++ {
				dst[t][c.band] += c.power * g[o] * gain[c.band][t] * charge(c.rise, h.rate[c.band][t], x)
			}
		}
		return
	}
	for i, b := range v.bands {
		o := h.octaveOf[b]
		for t := 0; t < h.terms; t++ {
			ek := math.Exp(-h.rate[b][t] * x)
			e := v.steady[i]*(1-ek) - v.deficit[i][t]*ek
			if e > 0 {
				dst[t][b] += e * g[o] * gain[b][t]
			}
		}
	}
}
