package field

import (
	"math"
	"slices"
	"sync/atomic"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/parallel"
	"afterchord/sim/pipework"
	"afterchord/voicing"
)

// settled is the share of its steady power at which a component counts as fully up.
const settled = 0.998

// component is one partial of a pipe in an auditory band, or what that band takes of it. As it speaks its power is power·(1−q)² with q = e^(−rise·x),
// and what it has put into a decay of rate k, k∫₀ˣ power·(1−e^(−rise·u))²·e^(−k(x−u)) du, is
// power·((1−e^(−kx)) − deficit·e^(−kx)) + late·q − soon·q².
type component struct {
	power      float64 // pW
	late, soon [maxTerms]float64
}

// unsettledFrames is how many frames pass until a component of such a rise (1/τ, 1/s) is settled where it starts so far into the first of
// them, s.
func unsettledFrames(rise, starts float64) int {
	return max(0, int(math.Ceil((starts+unsettledTimes/rise)/Step-0.5)))
}

// unsettledTimes is how many times its time constant a component rises until it is settled.
var unsettledTimes = -math.Log(1 - math.Sqrt(settled))

// spent is q of a component that counts as up.
const spent = 1e-13

// voice is a pipe as the hall hears it.
type voice struct {
	division int
	dead     float64      // s
	fall     octave.Bands // rate at which its power in each octave band falls once the pallet has shut, 1/s
	lasts    octave.Bands // 1/fall, s
	attackS  float64      // from first sound until every component is settled
	prompt   bool         // every rise is quicker than the room's decay, so deficit holds
	parts    []component
	rise     []float64 // of each of them, 1/τ, 1/s, a plane

	first   []int32   // of parts in each of bands, and their number
	bands   []int32   // distinct auditory bands, ascending
	steady  []float64 // pW in each of them
	deficit [][maxTerms]float64
	undead  [][maxTerms]float64 // e^(k·dead) of the band's decays
	octave  []uint8             // of the bands
	full    []float64           // mean-square pressure at the seat of steady, (20 µPa)²
	wanting [][maxTerms]float64 // what full lacks of it for every unit that a decay has left since the pallet opened; where prompt and attackS is past

	endings [1 << endingBits]atomic.Pointer[ending] // those asked for last
}

// voice returns the pipe's voice, made once; two that ask at the same time may both make it, to
// the same figures.
func (h *Hall) voice(id voicing.PipeID) *voice {
	slot := &h.voices[h.seat(id)]
	if v := slot.Load(); v != nil {
		return v
	}
	slot.CompareAndSwap(nil, h.newVoice(h.Organ.Pipe(id)))
	return slot.Load()
}

// seat is the place of a pipe's voice.
func (h *Hall) seat(id voicing.PipeID) int {
	return h.base[id.Division][id.Stop] + int(id.Rank)<<7 + int(id.Key&127)
}

// voiceAll makes the voices of the pipes that sound and have none yet, spread over the cores.
func (h *Hall) voiceAll(events []pipework.Event) {
	var silent []voicing.PipeID
	var asked []bool
	for i := range events {
		id := events[i].Pipe
		seat := h.seat(id)
		if h.voices[seat].Load() != nil {
			continue
		}
		if asked == nil {
			asked = make([]bool, len(h.voices))
		}
		if !asked[seat] {
			asked[seat] = true
			silent = append(silent, id)
		}
	}
	parallel.Do(0, len(silent), func(i int) { h.voice(silent[i]) })
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
	var room [128]placed // as many as most pipes have
	parts := room[:0]
	var falls falls
	add := func(hz, power, rise, releaseS float64) {
		for _, s := range h.Model.Shares(hz) {
			if s.Part > 0 {
				parts = append(parts, placed{int32(s.Band), s.Part * power, rise})
				falls.add(h.octaveOf[s.Band], s.Part*power, releaseS/2)
			}
		}
	}
	for i := range p.Partials {
		q := &p.Partials[i]
		tau := max(q.RiseS, 1e-4)
		slowest = max(slowest, tau)
		add(q.Hz, q.Power, 1/tau, p.Speech.ReleaseOf(voicing.ReleaseGroup(q.N)))
	}
	if p.Noise.WindPower > 0 && len(p.Partials) > 0 {
		add(p.Noise.WindHz, p.Noise.WindPower, 1/slowest, p.Speech.ReleaseS)
	}
	v.fall = falls.rates(p.Speech.ReleaseS)
	for o, fall := range v.fall {
		v.lasts[o] = 1 / fall
	}
	v.attackS = slowest * unsettledTimes
	slices.SortStableFunc(parts, func(a, b placed) int { return int(a.band) - int(b.band) })
	n := 0
	for i, c := range parts {
		if i == 0 || c.band != parts[i-1].band {
			n++
		}
	}
	v.parts = make([]component, len(parts))
	ends, plane := make([]int32, 2*n+1), planes(len(parts), 3)
	v.bands, v.first = ends[:0:n], ends[n:n]
	v.rise, v.steady, v.full = plane()[:len(parts)], plane()[:0], plane()[:n]
	for i, c := range parts {
		if n := len(v.bands); n == 0 || v.bands[n-1] != c.band {
			v.bands = append(v.bands, c.band)
			v.first = append(v.first, int32(i))
			v.steady = append(v.steady, 0)
		}
		v.steady[len(v.steady)-1] += c.power
	}
	v.first = append(v.first, int32(len(parts)))
	pairs := make([][maxTerms]float64, 3*n+1) // room for a whole vector behind undead
	v.deficit, v.wanting, v.undead = pairs[:n:n], pairs[n:2*n:2*n], pairs[2*n:3*n]
	v.octave = make([]uint8, n)
	for i, b := range v.bands {
		v.octave[i] = uint8(h.octaveOf[b])
		v.undead[i] = h.rate[b]
		v.full[i] = v.steady[i] * h.through[v.division][b]
	}
	decays(v.undead, v.undead, -v.dead)
	v.prompt = true
	for i, b := range v.bands {
		rates, gain := &h.rate[b], &h.gain[v.division][b]
		for j := v.first[i]; j < v.first[i+1]; j++ {
			c, power, rise := &v.parts[j], parts[j].power, parts[j].rise
			for t := range h.terms { // a rise as quick as a decay is taken as a little quicker
				for math.Abs(rise-rates[t]) < 1e-6*rates[t] || math.Abs(2*rise-rates[t]) < 1e-6*rates[t] {
					rise *= 1 + 1e-5
				}
			}
			c.power, v.rise[j] = power, rise
			for t := range h.terms {
				d, ok := deficit(rise, rates[t])
				v.prompt = v.prompt && ok
				v.deficit[i][t] += power * d
				c.late[t], c.soon[t] = power*2*rates[t]/(rise-rates[t]), power*rates[t]/(2*rise-rates[t])
			}
		}
		for t := range h.terms {
			v.wanting[i][t] = gain[t] * (v.steady[i] + v.deficit[i][t]) * v.undead[i][t]
		}
	}
	return v
}

// placed is what an auditory band takes of a partial.
type placed struct {
	band        int32
	power, rise float64 // pW, 1/s
}

// speaking is e^(−kx) of the decays of band i after speaking for x s, from what the decays have left since the pallet opened.
func (v *voice) speaking(terms, i int, left *[maxTerms]float64) (speaking [maxTerms]float64) {
	for t := range terms {
		speaking[t] = left[t] * v.undead[i][t]
	}
	return speaking
}

// wants is e^(−rise·x) of the components of a voice that speaks for x s, nil where all of them are up; it holds until l is asked again.
func (v *voice) wants(x float64, l *lapses) []float64 {
	if x >= v.attackS && v.prompt {
		return nil
	}
	if n := len(v.rise); len(l.wants) < n {
		l.wants = planes(2*n, 1)()
	}
	q := l.wants[:len(v.rise)]
	fallen(q, v.rise, x)
	return q
}

// speech is what band i of the voice gives, pW, and what it has put into the room's decays per unit of their gain; wants is e^(−rise·x)
// of the voice's components and left e^(−kx) of the band's decays.
func (v *voice) speech(terms, i int, wants []float64, left *[maxTerms]float64) (power float64, room [maxTerms]float64) {
	power = v.steady[i]
	for t := range terms {
		room[t] = v.steady[i]*(1-left[t]) - v.deficit[i][t]*left[t]
	}
	if wants == nil {
		for t := range terms {
			room[t] = max(0, room[t])
		}
		return power, room
	}
	parts := v.parts[v.first[i]:v.first[i+1]]
	for j, q := range wants[v.first[i]:v.first[i+1]] {
		if q < spent {
			continue
		}
		c := &parts[j]
		power += c.power * (q - 2) * q
		for t := range terms {
			room[t] += (c.late[t] - c.soon[t]*q) * q
		}
	}
	for t := range terms {
		room[t] = max(0, room[t])
	}
	return max(0, power), room
}

// falls gathers components in each octave band: their power, and the energy that they leave once the pallets have shut.
type falls struct{ power, energy octave.Bands }

// add takes in a component whose power falls to 1/e in lasts s.
func (f *falls) add(o int, power, lasts float64) {
	f.power[o] += power
	f.energy[o] += power * lasts
}

// rates is the rate at which the power falls in each octave band: the one exponential that leaves as much energy as the
// components do together, which stop one sooner than the other; releaseS is that of the pipe, for the bands without any.
func (f *falls) rates(releaseS float64) (out octave.Bands) {
	for o := range out {
		out[o] = 1 / max(5e-5, releaseS/2)
		if f.power[o] > 0 {
			out[o] = min(2e4, f.power[o]/f.energy[o])
		}
	}
	return out
}

// deficit is ∫₀^∞ (1-(1-e^(-ax))²)·k·e^(kx) dx of a rise a under a decay k: what a
// pipe's slow start has kept out of the room, seen from the end. ok is false where the
// integral does not converge (a rise slower than the room's decay) and d is only the closed form's own figure.
func deficit(a, k float64) (d float64, ok bool) {
	// 1-(1-q)² = 2q-q² with q = e^(-ax)
	return k * (2/(a-k) - 1/(2*a-k)), a > 1.05*k
}

// expDiff is ∫₀ˣ e^(-au)·e^(-k(x-u)) du = (e^(-kx) - e^(-ax))/(a-k), from ek = e^(-kx) and ea = e^(-ax).
func expDiff(a, k, x, ek, ea float64) float64 {
	if d := a - k; math.Abs(d) > 1e-6*k {
		return (ek - ea) / d
	}
	return x * ek
}
