package smf

import (
	"encoding/binary"
	"fmt"
	"io"
	"math"
	"slices"

	"afterchord/sim/score"
)

// Write writes a score as a Standard MIDI File.
//
// A score that was read from one keeps every event of its file byte for byte
// (running status aside), in order, except those of notes that were deleted or
// changed, of words taken out and of tempi changed; new notes, words and tempi
// are put in between, on the track of their part. Notes are matched by ID. Bars
// and metres of such a score are those of its file. A score from elsewhere is
// written as a fresh format 1 file, one track to a part, after a first one with
// title, tempi, metres and the words that concern the whole.
//
// MIDI cannot tell apart notes on one key of one part that lie within each
// other: they come back crossed (first in, first out).
func Write(w io.Writer, s *score.Score) error {
	var out []byte
	var err error
	if src, ok := s.Source().(*source); ok {
		out, err = rewrite(s, src)
	} else {
		out, err = fresh(s)
	}
	if err != nil {
		return fmt.Errorf("%s: %w", s.File, err)
	}
	_, err = w.Write(out)
	return err
}

// Annotate is Write with words added, for instance findings as markers; s
// is not changed.
func Annotate(w io.Writer, s *score.Score, words []score.Word) error {
	c := s.Clone()
	c.Words = append(c.Words, words...)
	slices.SortStableFunc(c.Words, func(a, b score.Word) int { return cmpTicks(int64(a.At), int64(b.At)) })
	return Write(w, c)
}

// trackEdit is what changes on one track of the source.
type trackEdit struct {
	drop map[int]bool // events left out
	add  []addedEvent
}

// addedEvent is an event put in. Of those at one tick, rank orders: note-offs,
// then metre, tempo and words, then note-ons.
type addedEvent struct {
	tick int64
	rank int
	msg  []byte
}

const (
	rankOff = iota
	rankMeta
	rankOn
)

func (e *trackEdit) leave(event int) {
	if e.drop == nil {
		e.drop = map[int]bool{}
	}
	e.drop[event] = true
}

func rewrite(s *score.Score, src *source) ([]byte, error) {
	edits := make([]trackEdit, len(src.tracks))
	parts, edits, err := placeParts(s, src, edits)
	if err != nil {
		return nil, err
	}
	if err := editNotes(s, src, parts, edits); err != nil {
		return nil, err
	}
	editWords(s, src, parts, edits)
	division := src.division
	if !slices.Equal(s.Tempos, src.tempos) {
		if err := editTempos(s, src, edits); err != nil {
			return nil, err
		}
		if division&0x8000 != 0 { // frames cannot follow a tempo
			division = uint16(s.TicksPerCrotchet)
			for t := range edits {
				edits[t].scale(int64(src.scale))
			}
		}
	}
	step := int64(1)
	if division != src.division {
		step = int64(src.scale)
	}
	return src.write(edits, division, step)
}

// scale turns file ticks of added events into score ticks.
func (e *trackEdit) scale(by int64) {
	for i := range e.add {
		e.add[i].tick *= by
	}
}

// write puts the file together. Delta times are multiplied by step.
func (src *source) write(edits []trackEdit, division uint16, step int64) ([]byte, error) {
	out := make([]byte, 0, len(src.data)+1024)
	out = append(out, src.header...)
	binary.BigEndian.PutUint16(out[12:], division)
	if n := len(edits); n != src.declared {
		binary.BigEndian.PutUint16(out[10:], uint16(n))
		if n > 1 && src.format == 0 {
			binary.BigEndian.PutUint16(out[8:], 1)
		}
	}
	var err error
	for _, c := range src.chunks {
		if c.track < 0 {
			out = append(out, c.raw...)
			continue
		}
		e := edits[c.track]
		if len(e.add) == 0 && len(e.drop) == 0 && step == 1 && !src.tracks[c.track].noEnd {
			out = append(out, c.raw...)
			continue
		}
		if out, err = appendTrack(out, src, src.tracks[c.track].events, e, step); err != nil {
			return nil, fmt.Errorf("track %d: %w", c.track+1, err)
		}
	}
	for i, e := range edits[len(src.tracks):] {
		if out, err = appendTrack(out, src, nil, e, step); err != nil {
			return nil, fmt.Errorf("track %d: %w", len(src.tracks)+i+1, err)
		}
	}
	return out, nil
}

// appendTrack writes one track: the source's events less those dropped, with the
// added ones merged in.
func appendTrack(out []byte, src *source, events []event, e trackEdit, step int64) ([]byte, error) {
	slices.SortStableFunc(e.add, func(a, b addedEvent) int {
		if a.tick != b.tick {
			return cmpTicks(a.tick, b.tick)
		}
		return a.rank - b.rank
	})
	out = append(out, "MTrk\x00\x00\x00\x00"...)
	start, now, running := len(out), int64(0), byte(0)
	put := func(tick int64, msg []byte) error {
		if tick-now >= 1<<28 {
			return fmt.Errorf("%d ticks between two events are more than a MIDI file can hold", tick-now)
		}
		out = appendVLQ(out, uint32(tick-now))
		now = tick
		if status := msg[0]; status < 0xF0 && status == running {
			msg = msg[1:]
		} else if status < 0xF0 {
			running = status
		} else {
			running = 0
		}
		out = append(out, msg...)
		return nil
	}
	added, buf := e.add, []byte(nil)
	for i, ev := range events {
		end := ev.status == 0xFF && src.data[ev.from] == 0x2F
		tick := ev.tick * step
		for len(added) > 0 && (end || added[0].tick < tick || added[0].tick == tick && added[0].rank == rankOff) {
			if err := put(added[0].tick, added[0].msg); err != nil {
				return nil, err
			}
			added = added[1:]
		}
		if e.drop[i] {
			continue
		}
		buf = src.message(buf[:0], ev)
		if err := put(max(tick, now), buf); err != nil {
			return nil, err
		}
	}
	if n := len(events); n == 0 || !(events[n-1].status == 0xFF && src.data[events[n-1].from] == 0x2F) {
		for _, a := range added {
			if err := put(a.tick, a.msg); err != nil {
				return nil, err
			}
		}
		if err := put(now, []byte{0xFF, 0x2F, 0}); err != nil {
			return nil, err
		}
	}
	if len(out)-start > math.MaxUint32 {
		return nil, fmt.Errorf("the track is longer than 4 GiB")
	}
	binary.BigEndian.PutUint32(out[start-4:], uint32(len(out)-start))
	return out, nil
}

// placeParts gives the track (index) and channel (from 0) of every part; parts
// that the file does not have get a track of their own.
func placeParts(s *score.Score, src *source, edits []trackEdit) ([]channelKey, []trackEdit, error) {
	places := make([]channelKey, len(s.Parts))
	for i, p := range s.Parts {
		if i < len(src.parts) {
			places[i] = channelKey{src.parts[i].Track - 1, src.parts[i].Channel - 1}
			continue
		}
		if len(edits) >= maxTracks {
			return nil, nil, fmt.Errorf("part %q is one track more than the limit of %d", p.Name, maxTracks)
		}
		places[i] = channelKey{len(edits), freeChannel(p, i)}
		edits = append(edits, trackEdit{add: []addedEvent{{0, rankOff, metaEvent(0x03, []byte(p.Name))}}})
	}
	return places, edits, nil
}

// freeChannel is the part's own channel, else one by its index that is not the
// percussion channel of General MIDI.
func freeChannel(p score.Part, i int) int {
	if p.Channel >= 1 && p.Channel <= 16 {
		return p.Channel - 1
	}
	if c := i % 15; c >= 9 {
		return c + 1
	}
	return i % 15
}

func metaEvent(kind byte, data []byte) []byte {
	return append(appendVLQ([]byte{0xFF, kind}, uint32(len(data))), data...)
}
