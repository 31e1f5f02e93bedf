package field

import "afterchord/voicing"

// Chord is the pipes of one division that one key opens at OnS and shuts at OffS (action delay included, s).
type Chord struct {
	OnS, OffS float64
	first     int32 // event
	pipes     int
	ensemble  *ensemble // nil where none of them has a sound
}

// Chords appends to dst what a performance note opened, a chord for each division that it reaches and for each registration under it.
func (f *Field) Chords(dst []Chord, note int) []Chord {
	events := f.NoteEvents(note)
	for len(events) > 0 {
		c := &f.chords[f.chordOf[events[0]]]
		dst = append(dst, *c)
		events = events[c.pipes:]
	}
	return dst
}

// divisionOf is the division of the chord's pipes.
func (f *Field) divisionOf(c *Chord) int { return int(f.Events[c.first].Pipe.Division) }

// ShutChordS is when the pallets of c are heard to shut at the seat, s.
func (f *Field) ShutChordS(c *Chord) float64 { return c.OffS + f.Hall.Paths[f.divisionOf(c)].DelayS }

// Stretched is the chord with its times drawn out by slow about a key that goes down at keyS.
func (f *Field) Stretched(c Chord, keyS, slow float64) Chord {
	pivot := keyS + f.Hall.Organ.Divisions[f.divisionOf(&c)].Action.DelayS
	c.OnS, c.OffS = pivot+(c.OnS-pivot)*slow, pivot+(c.OffS-pivot)*slow
	return c
}

// gatherChords makes the chords of the events.
func (e *engine) gatherChords() {
	f := e.f
	f.chordOf = make([]int32, len(f.Events))
	f.chords = make([]Chord, 0, len(f.Events)/4)
	e.h.voiceAll(f.Events)
	var pipes []voicing.PipeID
	var voices []*voice
	for from := 0; from < len(f.Events); {
		first := &f.Events[from]
		pipes, voices = pipes[:0], voices[:0]
		next := from
		for ; next < len(f.Events); next++ {
			x := &f.Events[next]
			if x.OnS != first.OnS || x.OffS != first.OffS || x.Note != first.Note || x.Pipe.Division != first.Pipe.Division {
				break
			}
			if v := e.h.voice(x.Pipe); len(v.bands) > 0 {
				pipes, voices = append(pipes, x.Pipe), append(voices, v)
			}
			f.chordOf[next] = int32(len(f.chords))
		}
		c := Chord{OnS: first.OnS, OffS: first.OffS, first: int32(from), pipes: next - from}
		if len(voices) > 0 {
			c.ensemble = e.h.ensemble(pipes, voices)
		}
		f.chords = append(f.chords, c)
		from = next
	}
}

// speaks is the ensemble of those pipes of a chord that come to speak before their pallets shut, nil where none does.
func (e *engine) speaks(c *Chord) *ensemble {
	x, heldS := c.ensemble, c.OffS-c.OnS
	if x == nil || heldS > x.last {
		return x
	}
	var pipes []voicing.PipeID
	var voices []*voice
	for i, v := range x.voices {
		if heldS > v.dead {
			pipes, voices = append(pipes, x.pipes[i]), append(voices, v)
		}
	}
	if len(voices) == 0 {
		return nil
	}
	return e.h.ensemble(pipes, voices)
}

// SteadyChord adds what c gives at the seat in the steady state, (20 µPa)² per auditory band, with the boxes as they stand at atS.
func (h *Hall) SteadyChord(dst []float64, c *Chord, atS float64) {
	x := c.ensemble
	if x == nil {
		return
	}
	box := h.boxAt(x.division, atS)
	direct := h.direct[x.division]
	for k, p := range x.full {
		b := x.from + k
		o := h.octaveOf[b]
		dst[b] += (p + x.steady[k]*direct[b]*(box.aim[o]-1)) * box.gain[o]
	}
}

// AddChords adds what chords give at the seat at t (seat clock, s), (20 µPa)² per auditory band.
func (h *Hall) AddChords(dst []float64, chords []Chord, t float64) {
	l := h.borrowed()
	for i := range chords {
		h.chord(dst, &chords[i], t, l)
	}
	h.spare.Put(l)
}

// chord is pipe for all the pipes of a chord.
func (h *Hall) chord(dst []float64, c *Chord, t float64, l *lapses) {
	x := c.ensemble
	if x == nil {
		return
	}
	held := c.OffS - c.OnS
	delay := h.Paths[x.division].DelayS
	open := t - c.OnS - delay
	direct := h.direct[x.division]
	switch after := open - held; {
	case min(open, held) <= x.first: // nothing has been heard yet, or ever will
	case after > timeGrain:
		box := l.box(x.division, t-delay-after)
		left, release := h.shut(x, held, l)
		kept := l.after(after)
		for k := range x.steady {
			b, p := x.from+k, 0.0
			for t := range h.terms {
				p += left[t][k] * kept[b][t]
			}
			dst[b] += box.gain[h.octaveOf[b]] * p
		}
		release.addOwn(dst, h, x, box, after)
	case x.settled(open):
		box, decayed := l.box(x.division, t-delay), l.after(open)
		for k, p := range x.full {
			b := x.from + k
			for t := range h.terms {
				p -= x.wanting[t][k] * decayed[b][t]
			}
			o := h.octaveOf[b]
			dst[b] += box.gain[o] * (max(0, p) + x.steady[k]*direct[b]*(box.aim[o]-1))
		}
	default:
		box := l.box(x.division, t-delay)
		power, room := h.spoken(x, min(open, held), l)
		for k, p := range power {
			b := x.from + k
			o := h.octaveOf[b]
			p *= direct[b] * box.aim[o]
			for t := range h.terms {
				p += room[t][k]
			}
			dst[b] += box.gain[o] * p
		}
	}
}
