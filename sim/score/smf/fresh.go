package smf

import (
	"bytes"
	"fmt"
	"math/bits"
	"slices"

	"afterchord/sim/score"

	gomidi "gitlab.com/gomidi/midi/v2/smf"
)

// maxResolution is the most ticks to a crotchet that a file can state.
const maxResolution = 0x7FFF

// fresh writes a format 1 file from nothing but the score.
func fresh(s *score.Score) ([]byte, error) {
	if len(s.Parts)+1 > maxTracks {
		return nil, fmt.Errorf("%d parts are more than the limit of %d tracks", len(s.Parts), maxTracks)
	}
	if s.TicksPerCrotchet < 1 {
		return nil, fmt.Errorf("the score has %d ticks to the crotchet", s.TicksPerCrotchet)
	}
	shrink := int64(1) // where the score counts finer than a file can
	for int64(s.TicksPerCrotchet)/shrink > maxResolution {
		shrink++
	}
	edits := make([]trackEdit, len(s.Parts)+1)
	head := &edits[0]
	if s.Title != "" {
		head.add = append(head.add, addedEvent{0, rankOff, metaEvent(0x03, []byte(s.Title))})
	}
	for _, m := range printedMetres(s) {
		head.add = append(head.add, addedEvent{int64(m.At), rankMeta, metreMessage(m)})
	}
	for i, t := range s.Tempos {
		if i+1 < len(s.Tempos) && s.Tempos[i+1].At == t.At {
			continue
		}
		msg, err := tempoMessage(t)
		if err != nil {
			return nil, err
		}
		head.add = append(head.add, addedEvent{int64(t.At), rankMeta, msg})
	}
	for i, p := range s.Parts {
		edits[i+1].add = append(edits[i+1].add, addedEvent{0, rankOff, metaEvent(0x03, []byte(p.Name))})
	}
	for _, w := range s.Words {
		e := &edits[0]
		if w.Part >= 0 && w.Part < len(s.Parts) {
			e = &edits[w.Part+1]
		}
		e.add = append(e.add, addedEvent{max(0, int64(w.At)), rankMeta, wordEvent(w)})
	}
	for _, c := range s.Controls {
		if c.Part < 0 || c.Part >= len(s.Parts) {
			continue
		}
		edits[c.Part+1].add = append(edits[c.Part+1].add, addedEvent{int64(c.At), rankMeta, controlMessage(c, freeChannel(s.Parts[c.Part], c.Part))})
	}
	for _, n := range s.Notes {
		if n.Part < 0 || n.Part >= len(s.Parts) || n.Key < 0 || n.Key > 127 || n.On < 0 {
			return nil, fmt.Errorf("note %d (part %d, key %d, tick %d) does not fit a MIDI file", n.ID, n.Part, n.Key, n.On)
		}
		edits[n.Part+1].note(n, freeChannel(s.Parts[n.Part], n.Part), 1)
	}
	out := gomidi.NewSMF1()
	out.TimeFormat = gomidi.MetricTicks(int64(s.TicksPerCrotchet) / shrink)
	for i := range edits {
		track, err := edits[i].gomidi(shrink, int64(s.End))
		if err != nil {
			return nil, fmt.Errorf("track %d: %w", i+1, err)
		}
		if err := out.Add(track); err != nil {
			return nil, fmt.Errorf("track %d: %w", i+1, err)
		}
	}
	var b bytes.Buffer
	if _, err := out.WriteTo(&b); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}

// gomidi makes the library's track of the added events.
func (e *trackEdit) gomidi(shrink, end int64) (gomidi.Track, error) {
	slices.SortStableFunc(e.add, func(a, b addedEvent) int {
		if a.tick != b.tick {
			return cmpTicks(a.tick, b.tick)
		}
		return a.rank - b.rank
	})
	var track gomidi.Track
	now := int64(0)
	for _, a := range e.add {
		tick := a.tick / shrink
		if tick-now >= 1<<28 {
			return nil, fmt.Errorf("%d ticks between two events are more than a MIDI file can hold", tick-now)
		}
		track.Add(uint32(tick-now), a.msg)
		now = tick
	}
	rest := max(0, end/shrink-now)
	if rest >= 1<<28 {
		return nil, fmt.Errorf("%d ticks after the last event are more than a MIDI file can hold", rest)
	}
	track.Close(uint32(rest))
	return track, nil
}

// printedMetres are the metres as the bars have them: a short bar (a pickup, a
// cut bar) is given the metre that it has room for.
func printedMetres(s *score.Score) []score.Metre {
	var out []score.Metre
	for _, b := range s.Bars {
		m := score.Metre{At: b.Start, Beats: b.Metre.Beats, Unit: b.Metre.Unit}
		if b.Length != s.BarTicks(m) {
			m = metreOfLength(s, b, m)
		}
		if n := len(out); n == 0 || out[n-1].Beats != m.Beats || out[n-1].Unit != m.Unit {
			out = append(out, m)
		}
	}
	if len(s.Bars) == 0 {
		return s.Metres
	}
	return out
}

// metreOfLength is a metre that fills a bar of irregular length, in the bar's own
// unit if that goes, else in a finer one; m where none fits.
func metreOfLength(s *score.Score, b score.Bar, m score.Metre) score.Metre {
	for unit := max(1, m.Unit); unit <= 128; unit *= 2 {
		n := b.Length * score.Tick(unit)
		if whole := 4 * s.TicksPerCrotchet; n%whole == 0 && n/whole <= 255 && n > 0 {
			return score.Metre{At: b.Start, Beats: int(n / whole), Unit: unit}
		}
	}
	return m
}

// metreMessage is a time signature with a click to the beat (24 MIDI clocks to
// the crotchet) and 8 demisemiquavers to the crotchet.
func metreMessage(m score.Metre) []byte {
	unit := max(1, m.Unit)
	return []byte{0xFF, 0x58, 4, byte(m.Beats), byte(bits.Len(uint(unit)) - 1), byte(max(1, 96/unit)), 8}
}

func controlMessage(c score.Control, channel int) []byte {
	ch, v := byte(channel), byte(c.Value&127)
	switch c.Kind {
	case score.Program:
		return []byte{0xC0 | ch, v}
	case score.Bend:
		raw := uint16(c.Value + 8192)
		return []byte{0xE0 | ch, byte(raw & 127), byte(raw >> 7 & 127)}
	case score.Pressure:
		if c.Number < 0 {
			return []byte{0xD0 | ch, v}
		}
		return []byte{0xA0 | ch, byte(c.Number & 127), v}
	}
	return []byte{0xB0 | ch, byte(c.Number & 127), v}
}
