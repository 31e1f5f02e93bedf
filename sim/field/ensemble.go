package field

import (
	"math"
	"slices"
	"sync"
	"sync/atomic"

	"afterchord/acoustics/octave"
	"afterchord/voicing"

	"gonum.org/v1/gonum/floats"
)

// attackPhases is how many moments within a frame at which pipes begin are told apart.
const attackPhases = 4

// ensemble is the pipes of one division that a key opens and shuts together: what they give is worked out once and is one thing from then
// on, however many they are.
type ensemble struct {
	id       int // in the hall
	pipes    []voicing.PipeID
	voices   []*voice
	division int
	first    float64 // from the pallet's opening until the first of them is heard, s
	last     float64 // and until the last of them is, which may be long before it is up
	settledS float64 // from the pallet's opening until each of them is fully up
	prompt   bool    // all of them are
	from, to int     // auditory bands in which there is anything

	steady  []float64                                 // pW in each of the bands
	full    []float64                                 // what that gives at the seat, (20 µPa)²
	room    [maxTerms][]float64                       // what they give to the room's decays for good, (20 µPa)² in each of the bands
	wanting [maxTerms][]float64                       // what of room is wanting for every unit that a decay has left since the pallet opened; where prompt and settledS is past
	attack  [attackPhases]atomic.Pointer[[][]float64] // see begun
	release release                                   // from steady

	endings [1 << endingBits]atomic.Pointer[stop] // those asked for last
	states  [1 << stateBits]atomic.Pointer[state] // likewise, twice
	asked   [1 << stateBits]atomic.Uint64         // and the times, in bits, that were asked for once
}

// stateBits is the logarithm of how many states an ensemble remembers.
const stateBits = 3

// state is the pipes of an ensemble after their pallets were open for so long.
type state struct {
	openS float64
	power []float64           // what they give, pW in each of the ensemble's bands
	room  [maxTerms][]float64 // what they have put into the room's decays, (20 µPa)²
	falls falls               // if the pallets shut now
}

// newState is room for n bands.
func newState(n, terms int) *state {
	rows := rowsOf(n, 1+terms)
	s := &state{power: rows()}
	for t := range terms {
		s.room[t] = rows()
	}
	return s
}

// stop is the pipes of an ensemble at the moment when their pallets shut.
type stop struct {
	heldS float64
	room  [maxTerms][]float64 // what they have put into the room's decays, (20 µPa)²
	left  [maxTerms][]float64 // with what they still give it, see release.joined
	release
}

// release is what the pipes of an ensemble give from the moment on at which their pallets shut.
type release struct {
	power []float64    // then, pW in each of the ensemble's bands
	fall  octave.Bands // rate at which each octave falls, 1/s: the one exponential that leaves as much energy as the pipes do together
	left  octave.Bands // what a frame leaves
	least octave.Bands // share of its power at which an octave is nothing

	// What a pipe of power 1 gives a decay of rate k with a fall r is share(r, k)·(e^(−kt) − e^(−rt)): the first is as if it had been there
	// all along, and the second is the pipes' own.
	joined [maxTerms][]float64 // the decays' share, (20 µPa)² in each of the bands
	own    []float64           // what the pipes themselves still give when the pallets shut, less that, (20 µPa)²
	alive  float64             // for how many time constants that is followed
}

// ensembles are those of a hall, by their pipes.
type ensembles struct {
	mu    sync.Mutex
	known map[string]*ensemble
	key   []byte // scratch
}

// ensemble is the one of these voices, made once.
func (h *Hall) ensemble(pipes []voicing.PipeID, voices []*voice) *ensemble {
	all := h.ensembles
	all.mu.Lock()
	defer all.mu.Unlock()
	key := all.key[:0]
	for _, p := range pipes {
		key = append(key, p.Division, p.Stop, p.Rank, p.Key)
	}
	all.key = key
	if known, ok := all.known[string(key)]; ok {
		return known
	}
	x := h.newEnsemble(voices)
	x.id, x.pipes = len(all.known), slices.Clone(pipes)
	all.known[string(key)] = x
	return x
}

func (h *Hall) newEnsemble(voices []*voice) *ensemble {
	x := &ensemble{voices: slices.Clone(voices), division: voices[0].division, first: math.Inf(1), from: h.Model.N(), prompt: true}
	for _, v := range voices {
		x.first = min(x.first, v.dead)
		x.last, x.settledS = max(x.last, v.dead), max(x.settledS, v.dead+v.attackS)
		x.prompt = x.prompt && v.prompt
		x.from, x.to = min(x.from, int(v.bands[0])), max(x.to, int(v.bands[len(v.bands)-1])+1)
	}
	n := x.to - x.from
	x.steady, x.full = make([]float64, n), make([]float64, n)
	for t := range h.terms {
		x.room[t], x.wanting[t] = make([]float64, n), make([]float64, n)
	}
	var falls falls
	gain := h.gain[x.division]
	for _, v := range voices {
		for i, b := range v.bands {
			k := int(b) - x.from
			x.steady[k] += v.steady[i]
			falls.add(int(v.octave[i]), v.steady[i], v.lasts[v.octave[i]])
			x.full[k] += v.full[i]
			for t := range h.terms {
				x.room[t][k] += v.steady[i] * gain[b][t]
				x.wanting[t][k] += v.wanting[i][t]
			}
		}
	}
	x.release = h.newRelease(x, x.steady, &falls)
	return x
}

// nothing is how weak an octave of an ensemble is left out when it has died away, pW: 45 dB below the threshold of hearing at any seat.
const nothing = 3e-5

// newRelease is the release of the ensemble from what it gives when the pallets shut, which it keeps.
func (h *Hall) newRelease(x *ensemble, power []float64, falls *falls) release {
	rows := rowsOf(len(power), 1+h.terms)
	r := release{power: power, own: rows()}
	for t := range h.terms {
		r.joined[t] = rows()
	}
	for o, p := range falls.power {
		if r.least[o] = 1; p == 0 {
			continue
		}
		r.fall[o] = p / falls.energy[o]
		r.left[o] = math.Exp(-r.fall[o] * Step)
		r.least[o] = nothing / p
	}
	r.part(h, x)
	return r
}

// part parts what is given from then on into the decays' and the pipes' own.
func (r *release) part(h *Hall, x *ensemble) {
	direct, gain := h.direct[x.division], h.gain[x.division]
	most := 0.0
	for k, p := range r.power {
		b := x.from + k
		r.own[k] = p * direct[b]
		if p == 0 {
			continue
		}
		for t := range h.terms {
			joined := share(r.fall[h.octaveOf[b]], h.rate[b][t])
			r.joined[t][k] = p * gain[b][t] * joined
			r.own[k] -= r.joined[t][k]
			most = max(most, math.Abs(joined))
		}
	}
	r.alive = diedAway + math.Log1p(most)
}

// addOwn adds what the pipes of x themselves still give at the seat so long after their pallets have shut, less what is reckoned as the
// room's.
func (r *release) addOwn(dst []float64, h *Hall, x *ensemble, box *boxState, afterS float64) {
	direct := h.direct[x.division]
	for _, o := range h.octaves {
		from, to := max(o.from, x.from), min(o.to, x.to)
		fall := r.fall[o.index] * afterS
		if from >= to || fall >= r.alive {
			continue
		}
		shut, turned := box.gain[o.index]*math.Exp(-fall), box.aim[o.index]-1
		own, power := r.own[from-x.from:to-x.from], r.power[from-x.from:to-x.from]
		for k, p := range own {
			dst[from+k] += (p + turned*power[k]*direct[from+k]) * shut
		}
	}
}

// after is what is left of each octave x seconds after the pallets have shut, 0 where it is nothing.
func (r *release) after(x float64) (left octave.Bands) {
	for o, fall := range &r.fall {
		if fall > 0 {
			if v := math.Exp(-fall * x); v > r.least[o] {
				left[o] = v
			}
		}
	}
	return left
}

// begun returns the attack from a phase of a frame on: what the pipes still lack of their steady power in the middle of each frame, a row
// a frame, from the lowest of the ensemble's bands to the highest in which a component is not yet settled.
func (x *ensemble) begun(phase int) [][]float64 {
	if t := x.attack[phase].Load(); t != nil {
		return *t
	}
	began := float64(phase) / attackPhases * Step
	width := make([]int, 0, 32)
	parts, most := 0, 0
	for _, v := range x.voices {
		parts, most = parts+len(v.parts), max(most, len(v.parts))
	}
	unsettled := make([]int32, 0, parts) // rows, of each component
	for _, v := range x.voices {
		starts := began + v.dead - x.first // into the first frame
		for i, b := range v.bands {
			for _, rise := range v.rise[v.first[i]:v.first[i+1]] {
				rows := unsettledFrames(rise, starts)
				unsettled = append(unsettled, int32(rows))
				for len(width) < rows {
					width = append(width, 0)
				}
				if rows > 0 {
					width[rows-1] = max(width[rows-1], int(b)-x.from+1)
				}
			}
		}
	}
	for row := len(width) - 2; row >= 0; row-- { // what has not settled by a later row has not by this one
		width[row] = max(width[row], width[row+1])
	}
	table := make([][]float64, len(width))
	total := 0
	for _, n := range width {
		total += n
	}
	values := make([]float64, total)
	for row, n := range width {
		table[row], values = values[:n:n], values[n:]
	}
	plane := planes(most, 2)
	wants, frame := plane(), plane() // e^(−rise·x) in the middle of a component's first frame, and for a frame
	for _, v := range x.voices {
		starts := began + v.dead - x.first
		silent := max(0, int(math.Ceil(starts/Step-0.5))) // rows before there is anything
		fallen(wants[:len(v.rise)], v.rise, (float64(silent)+0.5)*Step-starts)
		fallen(frame[:len(v.rise)], v.rise, Step)
		for i, b := range v.bands {
			k := int(b) - x.from
			for j := v.first[i]; j < v.first[i+1]; j++ {
				rows := table[:unsettled[j]]
				power, q, fall := v.parts[j].power, wants[j], frame[j]
				mute := min(silent, len(rows))
				for _, lacks := range rows[:mute] {
					lacks[k] += power
				}
				for _, lacks := range rows[mute:] {
					lacks[k] += power * (2 - q) * q
					q *= fall
				}
			}
		}
		unsettled = unsettled[len(v.parts):]
	}
	x.attack[phase].Store(&table)
	return table
}

// spoken is what the pipes give and have put into the room after their pallets were open for openS (rounded to timeGrain). It holds until l
// is asked again. What is asked for again, as in figures that return, is remembered.
func (h *Hall) spoken(x *ensemble, openS float64, l *lapses) (power []float64, room *[maxTerms][]float64) {
	openS = grained(openS)
	place := slot(openS, stateBits)
	if s := x.states[place].Load(); s != nil && s.openS == openS {
		return s.power, &s.room
	}
	s, n := &l.state, len(x.steady)
	again := x.asked[place].Swap(math.Float64bits(openS)) == math.Float64bits(openS)
	if again {
		s = newState(n, h.terms)
	} else if len(s.power) < n {
		*s = *newState(n, h.terms)
	}
	s.openS = openS
	h.speak(s, x, l)
	if again {
		x.states[place].Store(s)
	}
	return s.power[:n], &s.room
}

// speak fills s, which has room for it, with what the pipes of x are after s.openS.
func (h *Hall) speak(s *state, x *ensemble, l *lapses) {
	power := s.power[:len(x.steady)]
	clear(power)
	for t := range h.terms {
		clear(s.room[t][:len(power)])
	}
	s.falls = falls{}
	gain, decayed := h.gain[x.division], l.after(s.openS)
	for _, v := range x.voices {
		if s.openS <= v.dead {
			continue
		}
		wants := v.wants(s.openS-v.dead, l)
		for i, b := range v.bands {
			k := int(b) - x.from
			p := v.steady[i]
			if wants == nil {
				for t := range h.terms {
					s.room[t][k] += max(0, p*gain[b][t]-v.wanting[i][t]*decayed[b][t])
				}
			} else {
				left := v.speaking(h.terms, i, &decayed[b])
				var room [maxTerms]float64
				p, room = v.speech(h.terms, i, wants, &left)
				for t := range h.terms {
					s.room[t][k] += gain[b][t] * room[t]
				}
			}
			power[k] += p
			s.falls.add(int(v.octave[i]), p, v.lasts[v.octave[i]])
		}
	}
}

// stopped is the ensemble after its pallets were open for heldS (rounded to timeGrain).
func (h *Hall) stopped(x *ensemble, heldS float64, l *lapses) *stop {
	heldS = grained(heldS)
	kept := &x.endings[slot(heldS, endingBits)]
	if s := kept.Load(); s != nil && s.heldS == heldS {
		return s
	}
	end := newState(len(x.steady), h.terms)
	end.openS = heldS
	h.speak(end, x, l)
	s := &stop{heldS: heldS, room: end.room, release: h.newRelease(x, end.power, &end.falls)}
	rows := rowsOf(len(x.steady), h.terms)
	for t := range h.terms {
		s.left[t] = rows()
		floats.AddTo(s.left[t], s.room[t], s.joined[t])
	}
	kept.Store(s)
	return s
}

// shut is what the pipes of x leave in the room's decays when their pallets shut after heldS, (20 µPa)² in each of their bands, what
// they give it from then on counted in, and what they still give themselves. It holds until l is asked again.
func (h *Hall) shut(x *ensemble, heldS float64, l *lapses) (left *[maxTerms][]float64, r *release) {
	if !x.settled(heldS) {
		s := h.stopped(x, heldS, l)
		return &s.left, &s.release
	}
	decayed := l.after(heldS)
	for t := range h.terms {
		if l.room[t] == nil {
			l.room[t] = make([]float64, len(h.octaveOf))
		}
		room, joined := x.room[t], x.release.joined[t]
		for k, wanting := range x.wanting[t] {
			l.room[t][k] = room[k] - wanting*decayed[x.from+k][t] + joined[k]
		}
	}
	return &l.room, &x.release
}

// settled reports whether all the pipes are fully up after their pallets were open for heldS.
func (x *ensemble) settled(heldS float64) bool { return x.prompt && heldS >= x.settledS }

// rowsOf gives rows of n zeros out of one piece.
func rowsOf(n, rows int) func() []float64 {
	all := make([]float64, n*rows)
	return func() []float64 {
		row := all[:n:n]
		all = all[n:]
		return row
	}
}

// add adds values to dst.
func add(dst, values []float64) { floats.Add(dst, values) }
