// Package field is the energy side of the chain: pipe events and a room in, the
// mean-square pressure at the seat in every auditory band out, frame by frame and for
// any subset of the events at any time. It needs no audio: each pipe's rise, steady state
// and release are closed forms, and so is their passage through an exponential decay.
package field

import (
	"math"
	"sort"
	"sync"
	"sync/atomic"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/radiation"
	"afterchord/acoustics/room"
	"afterchord/sim/performance"
	"afterchord/voicing"
)

// maxTerms is how many exponentials a band's decay may have.
const maxTerms = 2

// Hall is an organ heard from one seat of a room: what a pW of each division
// becomes at the seat in each auditory band.
type Hall struct {
	Organ *voicing.Organ
	Room  *room.Room
	Seat  room.Seat
	Model *hearing.Model
	Paths []room.Path // per division
	Noise []float64   // background noise, (20 µPa)² per auditory band

	octaveOf []int                 // auditory band -> octave band
	octaves  []octaveRun           // the same, run by run
	rate     [][maxTerms]float64   // per auditory band, 1/s
	gain     [][][maxTerms]float64 // per division and auditory band
	direct   [][]float64           // per division and auditory band, of an open case
	ahead    []float64             // per division, [room.Room.Ahead] of the seat; 0 where the direct sound is as it was recorded
	through  [][]float64           // likewise, what a pW gives at the seat for good, (20 µPa)²
	terms    int
	box      [][]performance.BoxMove // per division, by time

	base   [][]int // [division][stop] -> first slot in voices, 128 to each rank
	voices []atomic.Pointer[voice]
	spare  sync.Pool // of *lapses

	ensembles *ensembles // those of all runs
	memo      *memo      // nil: what runs have worked out is forgotten with them
}

// NewHall places the organ in the room. box is how the swell boxes move.
func NewHall(o *voicing.Organ, r *room.Room, seat room.Seat, m *hearing.Model, box []performance.BoxMove) *Hall {
	h := &Hall{Organ: o, Room: r, Seat: seat, Model: m, ensembles: &ensembles{known: map[string]*ensemble{}}}
	h.seatVoices()
	h.Paths = make([]room.Path, len(o.Divisions))
	centres := m.Bands()
	h.rate = decayRows(len(centres))
	h.gain = make([][][maxTerms]float64, len(o.Divisions))
	h.direct, h.ahead = make([][]float64, len(o.Divisions)), make([]float64, len(o.Divisions))
	h.terms = 1
	for d := range o.Divisions {
		h.Paths[d] = r.Path(o.Divisions[d].Place, seat)
		if r.Measured == nil {
			h.ahead[d] = r.Ahead(o.Divisions[d].Place, seat)
		}
		toward := radiation.Toward(h.ahead[d], 0)
		h.gain[d], h.direct[d] = make([][maxTerms]float64, len(centres)), make([]float64, len(centres))
		for b, hz := range centres {
			direct, terms := h.Paths[d].At(hz)
			h.direct[d][b] = direct * toward[octave.Index(hz)]
			for i, t := range terms {
				if i >= maxTerms {
					break
				}
				h.terms = max(h.terms, i+1)
				h.gain[d][b][i] = t.Gain
				h.rate[b][i] = t.Rate
			}
		}
	}
	h.addUp()
	h.spreadNoise(r)
	h.moveBoxes(box)
	return h
}

// With is the hall with boxes that move otherwise. What has been worked out about its pipes serves both.
func (h *Hall) With(box []performance.BoxMove) *Hall {
	other := &Hall{Organ: h.Organ, Room: h.Room, Seat: h.Seat, Model: h.Model, Paths: h.Paths, Noise: h.Noise, octaveOf: h.octaveOf, octaves: h.octaves, rate: h.rate, gain: h.gain,
		direct: h.direct, ahead: h.ahead, through: h.through, terms: h.terms, base: h.base, voices: h.voices, ensembles: h.ensembles, memo: h.memo}
	other.moveBoxes(box)
	return other
}

func (h *Hall) moveBoxes(box []performance.BoxMove) {
	h.box = make([][]performance.BoxMove, len(h.Organ.Divisions))
	for _, m := range box {
		if m.Division >= 0 && m.Division < len(h.box) {
			h.box[m.Division] = append(h.box[m.Division], m)
		}
	}
}

// addUp makes through of the direct sound and the decays.
func (h *Hall) addUp() {
	h.through = make([][]float64, len(h.direct))
	for d, direct := range h.direct {
		h.through[d] = append([]float64(nil), direct...)
		for b, g := range h.gain[d] {
			for t := range h.terms {
				h.through[d][b] += g[t]
			}
		}
	}
}

// spreadNoise shares each octave's noise among the auditory bands within it, as much to each Cam.
func (h *Hall) spreadNoise(r *room.Room) {
	centres := h.Model.Bands()
	h.octaveOf = make([]int, len(centres))
	h.Noise = make([]float64, len(centres))
	var cams octave.Bands
	for i, hz := range centres {
		h.octaveOf[i] = octave.Index(hz)
		cams[h.octaveOf[i]] += h.Model.Cams(i)
		if k := len(h.octaves) - 1; k >= 0 && h.octaves[k].index == h.octaveOf[i] {
			h.octaves[k].to = i + 1
		} else {
			h.octaves = append(h.octaves, octaveRun{h.octaveOf[i], i, i + 1})
		}
	}
	for i := range centres {
		o := h.octaveOf[i]
		h.Noise[i] = math.Pow(10, r.NoiseDB[o]/10) * h.Model.Cams(i) / cams[o]
	}
}

// octaveRun is an octave band and the auditory bands within it.
type octaveRun struct{ index, from, to int }

// SeatTime is when a key of a division pressed at t (s) is heard at the seat, without
// the action's own delay (which the pipe event has already).
func (h *Hall) SeatTime(division int, t float64) float64 {
	return t + h.Paths[division].DelayS
}

// HeardAt is when the pallet that a key of a division pressed at keyS (s) opens is first heard at
// the seat: the action's delay and the way through the air, without the pipe's own dead time.
func (h *Hall) HeardAt(division int, keyS float64) float64 {
	return h.SeatTime(division, keyS+h.Organ.Divisions[division].Action.DelayS)
}

// still reports whether no box ever moves.
func (h *Hall) still() bool {
	for _, m := range h.box {
		if len(m) > 0 {
			return false
		}
	}
	return true
}

// openAt is how far the box of a division stands open at t.
func (h *Hall) openAt(d int, t float64) float64 {
	moves := h.box[d]
	if len(moves) == 0 {
		return 1
	}
	i := sort.Search(len(moves), func(i int) bool { return moves[i].AtS > t })
	if i == 0 {
		return moves[0].Open
	}
	a := moves[i-1]
	if i == len(moves) || moves[i].AtS <= a.AtS {
		return a.Open
	}
	b := moves[i]
	return a.Open + (b.Open-a.Open)*(t-a.AtS)/(b.AtS-a.AtS)
}

// boxState is what a box does per octave band: a power gain, and what the direct sound has besides, as a shut box does not point ahead.
type boxState struct{ gain, aim octave.Bands }

// boxAt is how a division's box stands at t.
func (h *Hall) boxAt(d int, t float64) boxState {
	div := &h.Organ.Divisions[d]
	if !div.Enclosed || len(h.box[d]) == 0 {
		return boxState{octave.Flat(1), octave.Flat(1)}
	}
	shut := 1 - h.openAt(d, t)
	s := boxState{aim: radiation.Toward(h.ahead[d], shut)}
	open := radiation.Toward(h.ahead[d], 0)
	for b := range s.gain {
		s.gain[b] = math.Pow(10, shut*div.Box.ClosedDB[b]/10)
		s.aim[b] /= open[b]
	}
	return s
}

// DB is the level of a set of band powers, dB re 20 µPa (-99 where there is nothing).
func DB(bands []float64) float64 {
	sum := 0.0
	for _, v := range bands {
		sum += v
	}
	return toDB(sum)
}

func toDB(p float64) float64 {
	if p < 1e-10 {
		return -99
	}
	return 10 * math.Log10(p)
}

// frameDB is the level of a frame, -99 below the threshold of hearing. There it would tell nothing but how the processor rounds, as
// where what sounds is the small difference of what is in the room and what was left there.
func frameDB(p float64) float32 {
	if p < 1 {
		p = 0
	}
	return float32(toDB(p))
}
