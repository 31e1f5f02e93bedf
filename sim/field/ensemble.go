package field

import (
	"math"
	"slices"

	"afterchord/acoustics/octave"
	"afterchord/voicing"

	"gonum.org/v1/gonum/floats"
)

// attackPhases and fadePhases are how many moments within a frame at which pipes begin or stop are told apart.
const (
	attackPhases = 4
	fadePhases   = 8
)

// endingsKept is how many endings an ensemble remembers: notes in one time are as long as each other.
const endingsKept = 4

// ensemble is the pipes of one division that a key opens and shuts together: what they give is worked out once and is one thing from then
// on, however many they are.
type ensemble struct {
	pipes    []voicing.PipeID
	voices   []*voice
	division int
	first    float64 // from the pallet's opening until the first of them is heard, s
	last     float64 // and until the last of them is, which may be long before it is up
	settledS float64 // from the pallet's opening until each of them is fully up
	prompt   bool    // all of them are
	from, to int     // auditory bands in which there is anything

	steady  []float64           // pW in each of the bands
	full    []float64           // what that gives at the seat, (20 µPa)²
	fullIn  octave.Bands        // what that gives at the seat in each octave, (20 µPa)²
	ahead   octave.Bands        // of it, the direct sound with an open box
	room    [maxTerms][]float64 // what they give to the room's decays for good, (20 µPa)² in each of the bands
	joined  [maxTerms][]float64 // what more they have given once they have died away after their pallets shut, see voice.joined
	wanting [maxTerms][]float64 // what of room is wanting for every unit that a decay has left since the pallet opened; where prompt and settledS is past
	attack  [attackPhases][]float64
	fades   fades // from steady

	endings [endingsKept]*stop
	next    int
}

// stop is the pipes of an ensemble at the moment when their pallets shut.
type stop struct {
	heldS float64
	room  [maxTerms][]float64 // what they have put into the room's decays, (20 µPa)²
	fades fades
}

// fades are tables of what pipes give after their pallets have shut, a row of the ensemble's bands a frame, for each moment within a frame.
type fades [fadePhases][]float64

// ensemble is the one of these voices, made once.
func (e *engine) ensemble(pipes []voicing.PipeID, voices []*voice) *ensemble {
	key := e.key[:0]
	for _, p := range pipes {
		key = append(key, p.Division, p.Stop, p.Rank, p.Key)
	}
	e.key = key
	if known, ok := e.ensembles[string(key)]; ok {
		return known
	}
	x := e.h.newEnsemble(voices)
	x.pipes = slices.Clone(pipes)
	e.ensembles[string(key)] = x
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
		x.room[t], x.joined[t], x.wanting[t] = make([]float64, n), make([]float64, n), make([]float64, n)
	}
	gain := h.gain[x.division]
	for _, v := range voices {
		for i, b := range v.bands {
			k := int(b) - x.from
			x.steady[k] += v.steady[i]
			x.full[k] += v.full[i]
			for t := range h.terms {
				x.room[t][k] += v.steady[i] * gain[b][t]
				x.joined[t][k] += v.steady[i] * gain[b][t] * v.joined[i][t]
				x.wanting[t][k] += v.wanting[i][t]
			}
		}
		for o, p := range v.fullIn {
			x.fullIn[o] += p
			x.ahead[o] += v.ahead[o]
		}
	}
	return x
}

// begun returns the attack from a phase of a frame on: a row a frame, each the power in its middle.
func (x *ensemble) begun(phase int) []float64 {
	if t := x.attack[phase]; t != nil {
		return t
	}
	n := len(x.steady)
	rows := int(math.Ceil((x.settledS-x.first)/Step)) + 1
	table := make([]float64, rows*n)
	began := float64(phase) / attackPhases * Step
	for _, v := range x.voices {
		starts := began + v.dead - x.first // into the first frame
		row := max(0, int(math.Ceil(starts/Step-0.5)))
		age := (float64(row)+0.5)*Step - starts
		for i, b := range v.bands {
			column := table[int(b)-x.from:]
			for _, c := range v.parts[v.first[i]:v.first[i+1]] {
				q := math.Exp(-c.rise * age)
				for at := row * n; at < len(column); at += n {
					a := 1 - q
					column[at] += c.power * a * a
					q *= c.frame
				}
			}
		}
	}
	x.attack[phase] = table
	return table
}

// stopped is the ensemble after its pallets were open for heldS (rounded to timeGrain), longer than any dead time.
func (e *engine) stopped(x *ensemble, heldS float64) *stop {
	heldS = grained(heldS)
	for _, s := range x.endings {
		if s != nil && s.heldS == heldS {
			return s
		}
	}
	h := e.h
	n := len(x.steady)
	s := &stop{heldS: heldS}
	for t := range h.terms {
		s.room[t] = make([]float64, n)
	}
	gain := h.gain[x.division]
	for _, v := range x.voices {
		end := h.ending(v, heldS, e.lapses)
		for i, b := range v.bands {
			k := int(b) - x.from
			for t := range h.terms {
				s.room[t][k] += end.room[i][t] * gain[b][t]
			}
		}
	}
	x.endings[x.next] = s
	x.next = (x.next + 1) % len(x.endings)
	return s
}

// settled reports whether all the pipes are fully up after their pallets were open for heldS.
func (x *ensemble) settled(heldS float64) bool { return x.prompt && heldS >= x.settledS }

// faded returns the rows from a phase of a frame on, made when they are first asked for; heldS tells how the pipes were when their
// pallets shut, and settled that they were fully up.
func (e *engine) faded(x *ensemble, f *fades, phase int, heldS float64, settled bool) []float64 {
	phase = min(phase, fadePhases/2) // in the later half of a frame nothing falls before its end
	if f[phase] != nil {
		return f[phase]
	}
	shutS := max(0, 0.5-(float64(phase)+0.5)/fadePhases) * Step
	n := len(x.steady)
	table := e.scratch[:0]
	for _, v := range x.voices {
		power, lasts := v.steady, &v.lasts
		if !settled {
			end := e.h.ending(v, heldS, e.lapses)
			power, lasts = end.power, &end.lasts
		}
		have, rows, factor := uint8(octave.N), 0, 0.0
		for i, b := range v.bands {
			if o := v.octave[i]; o != have { // bands ascend, so octaves come in runs
				have, rows = o, 0
				if s := lasts[o]; s > shutS {
					rows, factor = 1+int((s-shutS)/Step), math.Exp(-v.fall[o]*shutS)
				}
				for len(table) < rows*n {
					table = append(table, 0)
				}
			}
			p, k := power[i]*factor, int(b)-x.from
			for r := range rows {
				table[r*n+k] += p
				p *= v.fade[have]
			}
		}
	}
	f[phase] = append(make([]float64, 0, len(table)), table...)
	clear(table)
	e.scratch = table
	return f[phase]
}

// add adds values to dst.
func add(dst, values []float64) { floats.Add(dst, values) }
