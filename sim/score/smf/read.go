// Package smf reads and writes Standard MIDI Files (MIDI Manufacturers Association,
// Standard MIDI Files 1.0, RP-001).
//
// [Read] gives a score with parts, bars, words and remarks; [Write] gives the file back with
// only what was changed since then changed.
package smf

import (
	"bytes"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"afterchord/acoustics/plural"
	"afterchord/sim/score"

	gomidi "gitlab.com/gomidi/midi/v2/smf"
)

// Read reads a Standard MIDI File, format 0 or 1, also one within a RIFF file. file is the name that goes
// into Score.File and into messages. Errors say the track and the byte (a [FormatError]).
//
// A part is a track and channel that has notes. Where a file is unclear, these
// rules hold, and a Remark says that they were used:
//   - A note-off ends the note on its key that has sounded longest (first in,
//     first out); a note-on with velocity 0 is a note-off.
//   - A note without length is kept, one tick long.
//   - A note that is never let go ends with the piece; a note-off with nothing
//     to end is left out.
//   - No tempo is 120 crotchets a minute, no time signature 4/4 (Standard MIDI
//     Files 1.0). A metre change inside a bar ends the bar there.
//   - A first bar that is shorter than a bar of the metre that follows it is a
//     pickup, bar 0, as notation programs write it (a bar of 1/4, then 4/4),
//     unless the piece goes on to alternate the two metres.
//   - Where time is counted in SMPTE frames, bars are 4/4 at 120 crotchets a
//     minute from the start, and the file's tempi and time signatures are left out.
//
// Words that are dynamic marks ("pp", "f maestoso", "dyn: mf") come as Mark,
// those for a gradual change ("cresc. poco a poco") as Hairpin.
func Read(data []byte, file string) (*score.Score, error) { return ReadWith(data, file, Options{}) }

// Options are choices of how a file is read.
type Options struct {
	// Upbeat is the length in crotchets of the pickup before the first full bar, where the file counts it as a full
	// bar: 0 leaves it to the music, with a Remark where that says there is one; NoUpbeat says that there is none.
	Upbeat float64
}

// ReadWith is Read with choices.
func ReadWith(data []byte, file string, o Options) (*score.Score, error) {
	inner, from, err := unwrap(data)
	var s *score.Score
	if err == nil {
		s, err = read(bytes.Clone(inner), file, o)
	}
	if err != nil {
		var fault *FormatError
		if from > 0 && errors.As(err, &fault) {
			fault.Offset += from
		}
		return nil, fmt.Errorf("%s: %w", file, err)
	}
	return s, nil
}

// source is what a Score keeps of the file it came from.
type source struct {
	*file
	scale  score.Tick // score ticks to a file tick
	parts  []score.Part
	tempos []score.Tempo
	notes  []noteOrigin // by ID-1
	words  []wordOrigin
	stray  []noteOff    // note-offs that end nothing
	speeds []tempoEvent // every tempo event
}

type noteOrigin struct {
	note    score.Note
	track   int // index of the track
	on, off int // indexes of the events; off is -1 where there is none
}

type wordOrigin struct {
	word         score.Word
	track, event int
}

type noteOff struct {
	track, event int
	channel, key uint8
}

type tempoEvent struct {
	tick         int64
	track, event int
	crotchets    float64
}

type metreEvent struct {
	tick        int64
	beats, unit int
}

func read(data []byte, file string, o Options) (*score.Score, error) {
	f, err := scan(data)
	if err != nil {
		return nil, err
	}
	r := newReader(f, file)
	r.options = o
	for t := range f.tracks {
		messages, err := decodeTrack(f, t)
		if err != nil {
			return nil, err
		}
		if err := r.track(t, messages); err != nil {
			return nil, err
		}
	}
	if len(r.notes) == 0 {
		return nil, fmt.Errorf("there are no notes in %s", plural.Count(len(f.tracks), "track"))
	}
	if err := r.time(); err != nil {
		return nil, err
	}
	r.music()
	return r.s, nil
}

// decodeTrack turns the events of a track into messages, one for each.
func decodeTrack(f *file, t int) (events gomidi.Track, err error) {
	defer func() {
		if p := recover(); p != nil {
			err = &FormatError{t + 1, f.tracks[t].firstByte(), fmt.Sprintf("the track cannot be read: %v", p)}
		}
	}()
	file, err := gomidi.ReadFrom(bytes.NewReader(f.plain(t)))
	if err != nil {
		return nil, &FormatError{t + 1, f.tracks[t].firstByte(), fmt.Sprintf("the track cannot be read: %v", err)}
	}
	if len(file.Tracks) != 1 || len(file.Tracks[0]) < len(f.tracks[t].events) {
		return nil, &FormatError{t + 1, f.tracks[t].firstByte(), "the track cannot be read to its end"}
	}
	return file.Tracks[0][:len(f.tracks[t].events)], nil
}

func (t track) firstByte() int {
	if len(t.events) == 0 {
		return 0
	}
	return t.events[0].at
}

// time makes the tempo map, the metres and the bars, and refuses absurd lengths.
func (r *reader) time() error {
	s, f := r.s, r.f
	s.TicksPerCrotchet = score.Tick(f.division)
	if f.division&0x8000 != 0 {
		r.smpteTime()
	} else {
		r.tempoMap()
	}
	s.Index()
	end := int64(0)
	for t := range f.tracks {
		last := int64(0)
		for _, e := range f.tracks[t].events {
			from, to := score.Tick(last)*r.source.scale, score.Tick(e.tick)*r.source.scale
			if e.tick > last && s.Seconds(to)-s.Seconds(from) > maxSilenceS {
				hours := (s.Seconds(to) - s.Seconds(from)) / 3600
				where := ""
				if r.metreMap(from+1) == nil {
					where = " after " + s.Position(from).String()
				}
				return &FormatError{t + 1, e.at, fmt.Sprintf("a delta time of %.1f hours%s (at most %.0f hours are read)", hours, where, maxSilenceS/3600)}
			}
			last = e.tick
		}
		end = max(end, last)
		if sec := s.Seconds(score.Tick(last) * r.source.scale); sec > maxLengthS {
			return &FormatError{t + 1, f.tracks[t].events[len(f.tracks[t].events)-1].at, fmt.Sprintf("the track lasts %.1f hours (at most %.0f are read)", sec/3600, maxLengthS/3600)}
		}
	}
	s.End = score.Tick(end) * r.source.scale
	for i := range r.notes { // notes never let go, and those without length
		n := &r.notes[i].note
		if r.notes[i].off < 0 {
			n.Off = s.End
		}
		n.Off = max(n.Off, n.On+1)
		n.Written = n.Off - n.On
		s.End = max(s.End, n.Off)
	}
	r.remarkMetres = true
	if err := r.metreMap(s.End); err != nil {
		return err
	}
	return r.upbeat(r.options.Upbeat)
}

// smpteTime sets a time in which a crotchet is half a second of the frame count.
func (r *reader) smpteTime() {
	fps, sub := smpteRate(r.f.division)
	crotchets := 120.0
	if fps == 29 { // 30 frames in 1.001 s
		fps, crotchets = 30, 120*1000/1001.0
	}
	r.source.scale = 1
	ticks := fps * sub // a second
	if ticks%2 != 0 {
		r.source.scale, ticks = 2, ticks*2
	}
	r.s.TicksPerCrotchet = score.Tick(ticks / 2)
	r.s.Tempos = []score.Tempo{{Crotchets: crotchets}}
	r.metres = nil
	text := "time is counted in SMPTE frames: bars are 4/4 at 120 crotchets a minute"
	if len(r.source.speeds) > 0 {
		text += ", the file's tempi are left out"
	}
	r.remark(0, -1, text)
}

// tempoMap sorts the tempo events of all tracks; of several at one place the last counts.
func (r *reader) tempoMap() {
	sorted := slices.Clone(r.source.speeds)
	slices.SortStableFunc(sorted, func(a, b tempoEvent) int { return cmpTicks(a.tick, b.tick) })
	out := []score.Tempo{{Crotchets: 120}}
	if len(sorted) == 0 {
		r.remark(0, -1, "no tempo is given: 120 crotchets a minute")
	}
	for i, e := range sorted {
		if i+1 < len(sorted) && sorted[i+1].tick == e.tick {
			continue
		}
		if last := &out[len(out)-1]; last.At == score.Tick(e.tick) {
			last.Crotchets = e.crotchets
		} else if last.Crotchets != e.crotchets {
			out = append(out, score.Tempo{At: score.Tick(e.tick), Crotchets: e.crotchets})
		}
	}
	r.s.Tempos = out
	r.source.scale = 1
}

func cmpTicks(a, b int64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// music fills in parts, notes, words, controls and the title.
func (r *reader) music() {
	s := r.s
	r.makeParts()
	for i := range r.notes {
		o := &r.notes[i]
		o.note.Part = r.partOf[channelKey{o.track, o.note.Voice}]
		o.note.Voice = 0
	}
	slices.SortStableFunc(r.notes, func(a, b noteOrigin) int {
		switch {
		case a.note.On != b.note.On:
			return cmpTicks(int64(a.note.On), int64(b.note.On))
		case a.note.Part != b.note.Part:
			return a.note.Part - b.note.Part
		}
		return a.note.Key - b.note.Key
	})
	s.Notes = make([]score.Note, len(r.notes))
	for i := range r.notes {
		r.notes[i].note.ID = i + 1
		s.Notes[i] = r.notes[i].note
	}
	r.makeWords()
	r.makeControls()
	r.makeRemarks()
	s.Title = r.title()
	r.source.notes = r.notes
	r.source.parts = slices.Clone(s.Parts)
	r.source.tempos = slices.Clone(s.Tempos)
	s.SetSource(r.source)
	s.Index()
}

// title is the name of a first track that is not itself a line of the score and names a piece;
// else the file's name.
func (r *reader) title() string {
	name := r.names[0]
	for _, p := range r.s.Parts {
		if p.Track == 1 && r.f.format == 1 {
			name = ""
		}
	}
	if namesNoPiece(name) {
		base := filepath.Base(r.s.File)
		return strings.TrimSuffix(base, filepath.Ext(base))
	}
	return name
}
