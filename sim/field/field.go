package field

import (
	"math"
	"slices"
	"sync"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/octave"
	"afterchord/sim/pipework"
)

// Step is the frame length, s.
const Step = 0.02

// Field is what reaches one seat over a whole piece.
type Field struct {
	Hall       *Hall
	Model      *hearing.Model
	Events     []pipework.Event
	Noise      []float64 // background, (20 µPa)² per auditory band
	StepS      float64
	LevelDB    []float32 // of what is sounding, dB re 20 µPa, per frame; -99 below 0
	ResidueDB  []float32 // of what is left of pipes whose pallets have shut
	HeardShare []float32 // partial loudness of what sounds in the residue and the noise / its loudness alone; 1 in silence
	Clarity    []float32 // loudness of what sounds / (that + what the residue adds to the ear beside it); 1 in silence
	Onsets     []Onset   // one for each time that keys go down, by time

	byNote  [][]int32
	chords  []Chord
	chordOf []int32 // of each event

	trail *trail // nil where none was kept

	openOnce  sync.Once
	open      []stretch
	farthestS float64 // delay of the farthest division
}

// Onset is the state of the hall when one or more keys have gone down: the residue of
// everything before, taken shortly after (AtS) so that keys let go in the same
// moment have become part of it.
type Onset struct {
	KeyS    float64 // key time, s
	HeardS  float64 // when the first pallet's sound can reach the seat
	AtS     float64 // when Residue was taken, seat clock
	Notes   []int32 // performance notes that begin here
	OldDB   float32 // highest level of what sounded in the OldS s before, dB re 20 µPa
	NewDB   float32 // level that what sounds now will have when it has spoken and filled the room, dB
	Residue [maxTerms][]float32
	Total   [][]float32 // all that reaches the seat, per frame from AtS on; kept only after a fall of at least FallDB
}

// OldS is how far back from an onset the old passage's level is looked for, s: long
// enough to see past the rest that a cathedral needs, short enough to stay near the passage.
const OldS = 4

// FallDB is the fall of level at an onset from which the frames after it are kept.
const FallDB = 3

// keepDB is how far below the new level the residue must be before the frames after a fall
// are no longer of interest.
const keepDB = 20

// ResidueAt adds to dst the residue that the onset found, as it is at t, per auditory band.
func (f *Field) ResidueAt(dst []float64, o *Onset, t float64) {
	l := f.Hall.borrowed()
	kept := l.after(t - o.AtS)
	for i, residue := range o.Residue[:f.Hall.terms] {
		for b, v := range residue {
			dst[b] += float64(v) * kept[b][i]
		}
	}
	f.Hall.spare.Put(l)
}

// NoteEvents returns the events that a performance note opened.
func (f *Field) NoteEvents(note int) []int32 {
	if note < 0 || note >= len(f.byNote) {
		return nil
	}
	return f.byNote[note]
}

// Sounding appends to dst the events whose pallet is open at t on the seat's clock.
func (f *Field) Sounding(dst []int32, t float64) []int32 {
	f.openOnce.Do(f.markOpen)
	stretch := min(len(f.open)-1, max(0, int((t-f.farthestS)/openS)))
	for _, i := range f.open[stretch].held {
		if f.opensAt(i, t) {
			dst = append(dst, i)
		}
	}
	for i := f.open[stretch].next; i < len(f.Events) && f.Events[i].OnS <= t; i++ {
		if f.opensAt(int32(i), t) {
			dst = append(dst, int32(i))
		}
	}
	return dst
}

// opensAt reports whether the pallet of an event is open at t on the seat's clock.
func (f *Field) opensAt(i int32, t float64) bool {
	e := &f.Events[i]
	d := f.Hall.Paths[e.Pipe.Division].DelayS
	return e.OnS+d <= t && t < e.OffS+d
}

// openS is how long the stretches are at whose beginnings it is known which pallets are open, s.
const openS = 1

// stretch is what begins at a multiple of openS.
type stretch struct {
	held []int32 // events that began before it and go on
	next int     // the first that begins in it
}

// markOpen finds out which pallets are open as each stretch begins.
func (f *Field) markOpen() {
	for d := range f.Hall.Paths {
		f.farthestS = max(f.farthestS, f.Hall.Paths[d].DelayS)
	}
	f.open = []stretch{{}}
	var held []int32
	for i := range f.Events {
		for f.Events[i].OnS >= float64(len(f.open))*openS {
			begins := float64(len(f.open)) * openS
			held = slices.DeleteFunc(held, func(k int32) bool { return f.Events[k].OffS < begins })
			f.open = append(f.open, stretch{slices.Clone(held), i})
		}
		held = append(held, int32(i))
	}
}

// Energy adds to dst the mean-square pressure, (20 µPa)² per auditory band, that the
// given events alone give at the seat at t (seat clock, s).
func (f *Field) Energy(dst []float64, events []int32, t float64) {
	l := f.Hall.borrowed()
	for len(events) > 0 {
		if c := f.leading(events); c != nil {
			f.Hall.chord(dst, c, t, l)
			events = events[c.pipes:]
			continue
		}
		e := &f.Events[events[0]]
		f.Hall.pipe(dst, f.Hall.voice(e.Pipe), e.OnS, e.OffS, t, l)
		events = events[1:]
	}
	f.Hall.spare.Put(l)
}

// Steady adds to dst the steady-state mean-square pressure of pipes that keep sounding, with
// the boxes as they stand at atS.
func (f *Field) Steady(dst []float64, events []int32, atS float64) {
	for len(events) > 0 {
		if c := f.leading(events); c != nil {
			f.Hall.SteadyChord(dst, c, atS)
			events = events[c.pipes:]
			continue
		}
		f.Hall.SteadyPipe(dst, &f.Events[events[0]], atS)
		events = events[1:]
	}
}

// leading is the chord that events begin with, nil where it is not all there.
func (f *Field) leading(events []int32) *Chord {
	i := f.chordOf[events[0]]
	c := &f.chords[i]
	if n := c.pipes; n > len(events) || c.first != events[0] || events[n-1] != c.first+int32(n)-1 {
		return nil
	}
	return c
}

// SeatTime is when a key of a division pressed at t (s) is heard at the seat, without
// the action's own delay (which the pipe event has already).
func (f *Field) SeatTime(division int, t float64) float64 { return f.Hall.SeatTime(division, t) }

// SteadyPipe adds what one pipe gives at the seat in the steady state.
func (h *Hall) SteadyPipe(dst []float64, e *pipework.Event, atS float64) {
	v := h.voice(e.Pipe)
	box := h.boxAt(v.division, atS)
	direct := h.direct[v.division]
	for i, b := range v.bands {
		o := v.octave[i]
		dst[b] += (v.full[i] + v.steady[i]*direct[b]*(box.aim[o]-1)) * box.gain[o]
	}
}

// Pipe adds what one pipe event gives at the seat at t: its rise, steady state and
// release by the direct path, and all it has put into the room's decay.
func (h *Hall) Pipe(dst []float64, e *pipework.Event, t float64) {
	l := h.borrowed()
	h.pipe(dst, h.voice(e.Pipe), e.OnS, e.OffS, t, l)
	h.spare.Put(l)
}

func (h *Hall) pipe(dst []float64, v *voice, onS, offS, t float64, l *lapses) {
	delay := h.Paths[v.division].DelayS
	open := t - onS - delay // since the pallet opened
	held := offS - onS
	if open <= v.dead || held <= v.dead {
		return
	}
	if open > held {
		h.pipeShut(dst, v, held, open-held, l.box(v.division, t-delay-(open-held)), l)
		return
	}
	box, decayed := l.box(v.division, t-delay), l.after(open)
	direct, gain := h.direct[v.division], h.gain[v.division]
	if open-v.dead >= v.attackS && v.prompt {
		for i, b := range v.bands {
			p := v.full[i]
			for t := range h.terms {
				p -= v.wanting[i][t] * decayed[b][t]
			}
			o := v.octave[i]
			dst[b] += box.gain[o] * (max(0, p) + v.steady[i]*direct[b]*(box.aim[o]-1))
		}
		return
	}
	wants := v.wants(open-v.dead, l)
	for i, b := range v.bands {
		left := v.speaking(h.terms, i, &decayed[b])
		power, room := v.speech(h.terms, i, wants, &left)
		s := power * direct[b] * box.aim[v.octave[i]]
		for t := range h.terms {
			s += gain[b][t] * room[t]
		}
		dst[b] += box.gain[v.octave[i]] * s
	}
}

// pipeShut is pipe where the pallet, open for held s, has been shut for after.
func (h *Hall) pipeShut(dst []float64, v *voice, held, after float64, box *boxState, l *lapses) {
	end, decayed := h.ending(v, held, l), l.after(after)
	direct, gain := h.direct[v.division], h.gain[v.division]
	have, shut := uint8(octave.N), 1.0
	for i, b := range v.bands {
		o := v.octave[i]
		r := v.fall[o]
		if o != have { // bands ascend, so octaves come in runs
			have, shut = o, math.Exp(-r*after)
		}
		power := end.power[i]
		s := power * direct[b] * box.aim[o] * shut
		for t := range h.terms {
			k, kept := h.rate[b][t], decayed[b][t]
			s += gain[b][t] * (end.room[i][t]*kept + power*k*expDiff(r, k, after, kept, shut))
		}
		dst[b] += box.gain[o] * s
	}
}
