package smf

import (
	"encoding/binary"
	"fmt"
)

// Limits on what is read, far beyond music; a file outside them is refused with
// a message rather than eating the machine.
const (
	maxTracks   = 1024
	maxNotes    = 4_000_000
	maxBars     = 250_000
	maxEvents   = 40_000_000
	maxLengthS  = 24 * 3600.0 // s
	maxSilenceS = 2 * 3600.0  // s between two events of a track
)

// file is the framing of a Standard MIDI File: where each event of each track
// stands. It holds no music yet.
type file struct {
	data     []byte
	format   int
	division uint16
	declared int // number of tracks in the header
	header   []byte
	chunks   []chunk
	tracks   []track
	trailing int // bytes after the last chunk
}

// chunk is one chunk after the header, in file order: a track, or a foreign
// chunk that is carried along.
type chunk struct {
	track int // index into tracks, -1 for a foreign chunk
	raw   []byte
}

type track struct {
	events     []event
	noEnd      bool // no end-of-track event
	afterEnd   int  // bytes after the end-of-track event
	lostStatus int  // events that rely on running status across a meta or sysex event
}

// event is one event: its time in file ticks, its status and where its bytes
// (after the delta time and after the status byte, if that is written) stand.
type event struct {
	tick   int64
	status byte
	at     int // byte offset of the delta time
	from   int // first byte after the status
	to     int
}

// FormatError is a fault of a file and where it lies.
type FormatError struct {
	Track  int // from 1; 0 for the header and for the file as a whole
	Offset int // bytes from the start of the file
	What   string
}

// Error is one line: "track 3, byte 812: …".
func (e *FormatError) Error() string {
	if e.Track == 0 {
		return fmt.Sprintf("byte %d: %s", e.Offset, e.What)
	}
	return fmt.Sprintf("track %d, byte %d: %s", e.Track, e.Offset, e.What)
}

// scan checks the chunk and event framing of a whole file (Standard MIDI
// Files 1.0), so that every fault is reported with its track and byte offset.
func scan(data []byte) (*file, error) {
	f := &file{data: data}
	if len(data) == 0 {
		return nil, &FormatError{0, 0, "the file is empty"}
	}
	if len(data) < 4 || string(data[:4]) != "MThd" {
		if len(data) < 4 && string(data) == "MThd"[:len(data)] {
			return nil, &FormatError{0, len(data), "the file is cut short inside its header"}
		}
		return nil, &FormatError{0, 0, "not a Standard MIDI File (it does not begin with MThd)"}
	}
	if len(data) < 14 {
		return nil, &FormatError{0, len(data), "the file is cut short inside its header"}
	}
	n := int64(binary.BigEndian.Uint32(data[4:]))
	if n < 6 {
		return nil, &FormatError{0, 4, fmt.Sprintf("the header is %d bytes long, it needs 6", n)}
	}
	if n > int64(len(data)-8) {
		return nil, &FormatError{0, len(data), "the file is cut short inside its header"}
	}
	f.header = data[:8+n]
	f.format = int(binary.BigEndian.Uint16(data[8:]))
	f.declared = int(binary.BigEndian.Uint16(data[10:]))
	f.division = binary.BigEndian.Uint16(data[12:])
	if err := f.checkHeader(); err != nil {
		return nil, err
	}
	pos, total := int(8+n), 0
	for pos < len(data) {
		if len(f.tracks) >= f.declared && (len(data)-pos < 8 || !chunkName(data[pos:])) {
			f.trailing = len(data) - pos
			break
		}
		if len(data)-pos < 8 {
			return nil, &FormatError{len(f.tracks) + 1, len(data), "the file is cut short inside a track's header"}
		}
		size := int64(binary.BigEndian.Uint32(data[pos+4:]))
		name := string(data[pos : pos+4])
		if name != "MTrk" {
			if !chunkName(data[pos:]) {
				return nil, &FormatError{len(f.tracks) + 1, pos, "a track (MTrk) is expected here"}
			}
			if size > int64(len(data)-pos-8) {
				return nil, &FormatError{len(f.tracks) + 1, len(data), fmt.Sprintf("the file is cut short inside a %q chunk", name)}
			}
			end := pos + 8 + int(size)
			f.chunks = append(f.chunks, chunk{-1, data[pos:end]})
			pos = end
			continue
		}
		t := len(f.tracks) + 1
		if t > maxTracks {
			return nil, &FormatError{t, pos, fmt.Sprintf("more than %d tracks", maxTracks)}
		}
		if f.format == 0 && t > 1 {
			return nil, &FormatError{t, pos, "a format 0 file has one track, this one has more"}
		}
		end := int64(pos) + 8 + size
		if end > int64(len(data)) {
			return nil, &FormatError{t, len(data), fmt.Sprintf("the track is cut short: it says %d bytes, %d are there", size, len(data)-pos-8)}
		}
		track, err := scanTrack(data, pos+8, int(end), t, maxEvents-total)
		if err != nil {
			return nil, err
		}
		total += len(track.events)
		f.chunks = append(f.chunks, chunk{len(f.tracks), data[pos:end]})
		f.tracks = append(f.tracks, track)
		pos = int(end)
	}
	if len(f.tracks) < f.declared {
		return nil, &FormatError{len(f.tracks) + 1, len(data), fmt.Sprintf("the file is cut short: its header says %d tracks, %d are there", f.declared, len(f.tracks))}
	}
	return f, nil
}

func (f *file) checkHeader() error {
	switch {
	case f.format == 2:
		return &FormatError{0, 8, "format 2 holds separate patterns with no common time, so there is no score to read; save it as format 1"}
	case f.format > 2:
		return &FormatError{0, 8, fmt.Sprintf("format %d is unknown (0 and 1 are read)", f.format)}
	case f.declared == 0:
		return &FormatError{0, 10, "the header says that there are no tracks"}
	case f.declared > maxTracks:
		return &FormatError{0, 10, fmt.Sprintf("the header says %d tracks, more than the limit of %d", f.declared, maxTracks)}
	case f.division == 0:
		return &FormatError{0, 12, "the time division is 0 ticks a crotchet"}
	case f.division&0x8000 != 0:
		fps, sub := smpteRate(f.division)
		if fps != 24 && fps != 25 && fps != 29 && fps != 30 {
			return &FormatError{0, 12, fmt.Sprintf("SMPTE time with %d frames a second is unknown (24, 25, 29, 30)", fps)}
		}
		if sub == 0 {
			return &FormatError{0, 13, "the SMPTE time division has 0 ticks a frame"}
		}
	}
	return nil
}

// smpteRate takes the frames a second (29 stands for 30000/1001) and the ticks a
// frame out of the header's division word.
func smpteRate(division uint16) (fps, sub int) {
	return -int(int8(division >> 8)), int(division & 0xFF)
}

// chunkName tells whether b begins with four printable characters.
func chunkName(b []byte) bool {
	for _, c := range b[:4] {
		if c < 0x20 || c > 0x7E {
			return false
		}
	}
	return true
}

// scanner reads the events of one track: data[pos:end].
type scanner struct {
	data     []byte
	pos, end int
	number   int // of the track, from 1
	running  byte
	broken   bool // a meta or sysex event has come since running was written
}

func (s *scanner) fail(at int, what string, args ...any) error {
	return &FormatError{s.number, at, fmt.Sprintf(what, args...)}
}

// scanTrack finds the events of the track whose data are data[pos:end]; room is how many the file may still have.
func scanTrack(data []byte, pos, end, number, room int) (track, error) {
	s := &scanner{data: data, pos: pos, end: end, number: number}
	t := track{events: make([]event, 0, (end-pos)/4+1)}
	tick := int64(0)
	for s.pos < end {
		at := s.pos
		delta, err := s.quantity("delta time")
		if err != nil {
			return track{}, err
		}
		tick += int64(delta)
		ev := event{tick: tick, at: at}
		lost, err := s.event(&ev)
		if err != nil {
			return track{}, err
		}
		if lost {
			t.lostStatus++
		}
		if len(t.events) >= room {
			return track{}, s.fail(at, "the file has more than %d events", maxEvents)
		}
		t.events = append(t.events, ev)
		if ev.status == 0xFF && data[ev.from] == 0x2F {
			t.afterEnd = end - s.pos
			return t, nil
		}
	}
	t.noEnd = true
	return t, nil
}

// event reads what follows a delta time; lost says that it relies on running status across a meta or sysex event.
func (s *scanner) event(ev *event) (lost bool, err error) {
	if s.pos >= s.end {
		return false, s.fail(s.pos, "the track ends after a delta time, inside an event")
	}
	ev.status = s.data[s.pos]
	switch {
	case ev.status >= 0x80:
		s.pos++
	case s.running == 0:
		return false, s.fail(s.pos, "data byte %d where a status byte is expected", ev.status)
	default:
		ev.status, lost = s.running, s.broken
	}
	ev.from = s.pos
	switch {
	case ev.status < 0xF0:
		err = s.channelEvent(ev.status)
	case ev.status == 0xF0 || ev.status == 0xF7 || ev.status == 0xFF:
		err = s.longEvent(ev.status)
	default:
		err = s.fail(s.pos-1, "status byte %02X cannot stand in a file", ev.status)
	}
	ev.to = s.pos
	return lost, err
}

func (s *scanner) channelEvent(status byte) error {
	size := 2
	if k := status & 0xF0; k == 0xC0 || k == 0xD0 {
		size = 1
	}
	if s.pos+size > s.end {
		return s.fail(s.end, "the track ends inside an event")
	}
	for i := s.pos; i < s.pos+size; i++ {
		if s.data[i] >= 0x80 {
			return s.fail(i, "status byte %02X inside an event", s.data[i])
		}
	}
	s.pos += size
	s.running, s.broken = status, false
	return nil
}

// longEvent reads a meta or sysex event.
func (s *scanner) longEvent(status byte) error {
	s.broken = true
	if status == 0xFF {
		if s.pos >= s.end {
			return s.fail(s.end, "the track ends inside a meta event")
		}
		if s.data[s.pos] >= 0x80 {
			return s.fail(s.pos, "meta event type %02X is out of range", s.data[s.pos])
		}
		s.pos++
	}
	size, err := s.quantity("event length")
	if err != nil {
		return err
	}
	if int64(size) > int64(s.end-s.pos) {
		return s.fail(s.pos, "an event says %d bytes, %d are left in its track", size, s.end-s.pos)
	}
	s.pos += int(size)
	return nil
}

// quantity reads a variable-length quantity.
func (s *scanner) quantity(what string) (uint32, error) {
	v, n := readVLQ(s.data[s.pos:s.end])
	if n <= 0 {
		return 0, s.fail(s.pos, "%s", vlqFault(what, n))
	}
	s.pos += n
	return v, nil
}
