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
	c.Index()
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
	c.Index()
	return &c
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
	off := t - b.Start
	if b.Number == 0 { // a pickup is counted back from the bar line it leads to
		off += max(0, s.BarTicks(b.Metre)-b.Length)
	}
	unit := float64(4*s.TicksPerCrotchet) / float64(max(1, b.Metre.Unit))
	return Position{Bar: b.Number, Beat: 1 + float64(off)/unit}
}

// BeatTicks is the length of one beat (the metre's lower figure) in ticks.
func (s *Score) BeatTicks(m Metre) Tick {
	if m.Unit <= 0 {
		return s.TicksPerCrotchet
	}
	return max(1, s.TicksPerCrotchet*4/Tick(m.Unit))
}

// BarTicks is the length of a full bar in ticks.
func (s *Score) BarTicks(m Metre) Tick {
	return max(1, s.TicksPerCrotchet*4*Tick(m.Beats)/Tick(max(1, m.Unit)))
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
