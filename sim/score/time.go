package score

import (
	"fmt"
	"slices"
	"sort"
)

// Clone returns a deep copy that can be edited; notes keep their IDs.
func (s *Score) Clone() *Score {
	c := *s
	c.Parts = slices.Clone(s.Parts)
	c.Notes = slices.Clone(s.Notes)
	c.Tempos = slices.Clone(s.Tempos)
	c.Metres = slices.Clone(s.Metres)
	c.Bars = slices.Clone(s.Bars)
	c.Words = slices.Clone(s.Words)
	c.Controls = slices.Clone(s.Controls)
	c.Remarks = slices.Clone(s.Remarks)
	return &c
}

// SortNotes puts the notes into the order that Score promises, after an edit.
func (s *Score) SortNotes() {
	sort.SliceStable(s.Notes, func(i, j int) bool {
		a, b := s.Notes[i], s.Notes[j]
		switch {
		case a.On != b.On:
			return a.On < b.On
		case a.Part != b.Part:
			return a.Part < b.Part
		default:
			return a.Key < b.Key
		}
	})
}

// Scaled returns the score with every tempo multiplied by factor (> 0).
func (s *Score) Scaled(factor float64) *Score {
	c := *s
	c.Tempos = slices.Clone(s.Tempos)
	for i := range c.Tempos {
		c.Tempos[i].Crotchets *= factor
	}
	return &c
}

// Seconds is the time of a tick from the start of the piece, by the tempo map. A
// tick before 0 counts at the first tempo.
func (s *Score) Seconds(t Tick) float64 {
	sec, at, tempo := 0.0, Tick(0), 120.0
	if len(s.Tempos) > 0 {
		tempo = s.Tempos[0].Crotchets
	}
	for _, x := range s.Tempos {
		if x.At >= t {
			break
		}
		sec += s.span(x.At-at, tempo)
		at, tempo = x.At, x.Crotchets
	}
	return sec + s.span(t-at, tempo)
}

// TickAt is the tick (rounded down) that sounds at sec; the inverse of Seconds.
func (s *Score) TickAt(sec float64) Tick {
	now, at, tempo := 0.0, Tick(0), 120.0
	if len(s.Tempos) > 0 {
		tempo = s.Tempos[0].Crotchets
	}
	for _, x := range s.Tempos {
		next := now + s.span(x.At-at, tempo)
		if next > sec {
			break
		}
		now, at, tempo = next, x.At, x.Crotchets
	}
	return at + Tick((sec-now)*tempo/60*float64(s.TicksPerCrotchet)+1e-6)
}

func (s *Score) span(t Tick, crotchets float64) float64 {
	return float64(t) / float64(s.TicksPerCrotchet) * 60 / crotchets
}

// TempoAt is the speed in crotchets a minute that holds at t.
func (s *Score) TempoAt(t Tick) float64 {
	tempo := 120.0
	for i, x := range s.Tempos {
		if x.At > t && i > 0 {
			break
		}
		tempo = x.Crotchets
	}
	return tempo
}

// BarAt is the index into Bars of the bar that holds t, clamped to the first and last.
func (s *Score) BarAt(t Tick) int {
	i := sort.Search(len(s.Bars), func(i int) bool { return s.Bars[i].Start > t })
	return max(0, i-1)
}

// Position is the bar and beat of a tick as musicians count them.
func (s *Score) Position(t Tick) Position {
	if len(s.Bars) == 0 {
		return Position{Bar: 1, Beat: 1}
	}
	b := s.Bars[s.BarAt(t)]
	unit := s.BeatTicks(b.Metre)
	off := t - b.Start
	if b.Number == 0 { // a pickup is counted back from the bar line it leads to
		full := unit * Tick(b.Metre.Beats)
		if b.Length < full {
			off += full - b.Length
		}
	}
	return Position{Bar: b.Number, Beat: 1 + float64(off)/float64(unit)}
}

// BeatTicks is the length of one beat (the metre's lower figure) in ticks.
func (s *Score) BeatTicks(m Metre) Tick {
	if m.Unit <= 0 {
		return s.TicksPerCrotchet
	}
	return max(1, s.TicksPerCrotchet*4/Tick(m.Unit))
}

// String writes a position as "bar 9, beat 3" or "bar 9, beat 2½".
func (p Position) String() string {
	whole := int(p.Beat + 1e-3)
	frac := p.Beat - float64(whole)
	for _, f := range []struct {
		v float64
		s string
	}{{0.25, "¼"}, {1. / 3, "⅓"}, {0.5, "½"}, {2. / 3, "⅔"}, {0.75, "¾"}} {
		if frac > f.v-0.01 && frac < f.v+0.01 {
			return fmt.Sprintf("bar %d, beat %d%s", p.Bar, whole, f.s)
		}
	}
	if frac < 0.01 {
		return fmt.Sprintf("bar %d, beat %d", p.Bar, whole)
	}
	return fmt.Sprintf("bar %d, beat %.2f", p.Bar, p.Beat)
}

var pitchNames = [...]string{"C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"}

// KeyName writes a MIDI key as note and octave, 60 = C4 (ISO 16 pitch A4 = key 69).
func KeyName(key int) string {
	oct := key/12 - 1
	if key < 0 {
		oct = (key-11)/12 - 1
	}
	return fmt.Sprintf("%s%d", pitchNames[((key%12)+12)%12], oct)
}
