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

// scanTrack finds the events of the track whose data are data[pos:end].
func scanTrack(data []byte, pos, end, number, room int) (track, error) {
	var t track
	fail := func(at int, what string, args ...any) (track, error) {
		return track{}, &FormatError{number, at, fmt.Sprintf(what, args...)}
	}
	tick, running, broken := int64(0), byte(0), false
	t.events = make([]event, 0, (end-pos)/4+1)
	for pos < end {
		at := pos
		delta, n := readVLQ(data[pos:end])
		if n <= 0 {
			return fail(at, "%s", vlqFault("delta time", n))
		}
		pos += n
		tick += int64(delta)
		if pos >= end {
			return fail(pos, "the track ends after a delta time, inside an event")
		}
		status := data[pos]
		switch {
		case status >= 0x80:
			pos++
		case running == 0:
			return fail(pos, "data byte %d where a status byte is expected", status)
		default:
			status = running
			if broken {
				t.lostStatus++
			}
		}
		ev := event{tick: tick, status: status, at: at, from: pos}
		switch {
		case status < 0xF0:
			size := 2
			if k := status & 0xF0; k == 0xC0 || k == 0xD0 {
				size = 1
			}
			if pos+size > end {
				return fail(end, "the track ends inside an event")
			}
			for i := pos; i < pos+size; i++ {
				if data[i] >= 0x80 {
					return fail(i, "status byte %02X inside an event", data[i])
				}
			}
			pos += size
			running, broken = status, false
		case status == 0xF0 || status == 0xF7 || status == 0xFF:
			broken = true
			if status == 0xFF {
				if pos >= end {
					return fail(end, "the track ends inside a meta event")
				}
				if data[pos] >= 0x80 {
					return fail(pos, "meta event type %02X is out of range", data[pos])
				}
				pos++
			}
			size, n := readVLQ(data[pos:end])
			if n <= 0 {
				return fail(pos, "%s", vlqFault("event length", n))
			}
			pos += n
			if int64(size) > int64(end-pos) {
				return fail(pos, "an event says %d bytes, %d are left in its track", size, end-pos)
			}
			pos += int(size)
		default:
			return fail(pos-1, "status byte %02X cannot stand in a file", status)
		}
		ev.to = pos
		if len(t.events) >= room {
			return fail(at, "the file has more than %d events", maxEvents)
		}
		t.events = append(t.events, ev)
		if status == 0xFF && data[ev.from] == 0x2F {
			t.afterEnd = end - pos
			return t, nil
		}
	}
	t.noEnd = true
	return t, nil
}
