package smf

import (
	"fmt"
	"path/filepath"

	"afterchord/sim/score"

	gomidi "gitlab.com/gomidi/midi/v2/smf"
)

// channelKey is a channel (from 1) of a track (from 0).
type channelKey struct{ track, channel int }

// reader gathers the events of all tracks; ticks are file ticks until the
// time division is known.
type reader struct {
	f            *file
	s            *score.Score
	source       *source
	notes        []noteOrigin // Note.Voice holds the channel until parts are known
	metres       []metreEvent
	texts        []textEvent
	controls     []controlEvent
	names        []string // of tracks
	instruments  map[channelKey]string
	partOf       map[channelKey]int
	remarkMetres bool
	options      Options
	tallies      map[tallyKey]*tally
	tallyOrder   []tallyKey
}

type textEvent struct {
	tick         int64
	track, event int
	channel      int // from a channel prefix, 0 for none
	kind         score.WordKind
	text         string
}

type controlEvent struct {
	track, channel int
	score.Control
}

// tallyKey is a kind of repair on one track; a Remark counts them.
type tallyKey struct {
	channelKey
	text string // with one %s for the number
	noun string
}

type tally struct {
	first score.Tick
	n     int
}

func newReader(f *file, file string) *reader {
	r := &reader{f: f, names: make([]string, len(f.tracks)), instruments: map[channelKey]string{}, tallies: map[tallyKey]*tally{}}
	r.s = &score.Score{File: filepath.Base(file), Format: fmt.Sprintf("SMF %d", f.format)}
	r.source = &source{file: f, scale: 1}
	if f.division&0x8000 != 0 {
		if fps, sub := smpteRate(f.division); fps*sub%2 != 0 && fps != 29 {
			r.source.scale = 2
		}
	}
	return r
}

func (r *reader) count(at int64, k channelKey, noun, text string) {
	key := tallyKey{k, text, noun}
	t := r.tallies[key]
	if t == nil {
		t = &tally{first: score.Tick(at) * r.source.scale}
		r.tallies[key] = t
		r.tallyOrder = append(r.tallyOrder, key)
	}
	t.n++
}

func (r *reader) remark(at score.Tick, part int, text string) {
	r.s.Remarks = append(r.s.Remarks, score.Remark{At: at, Part: part, Text: text})
}

// track takes in the events of one track.
func (r *reader) track(t int, messages gomidi.Track) error {
	var open [16 * 128][]int32 // notes that sound, by channel and key, oldest first
	prefix := 0
	events := r.f.tracks[t].events
	for i, e := range events {
		m := messages[i].Message
		tick := score.Tick(e.tick) * r.source.scale
		var ch, key, value uint8
		switch e.status & 0xF0 {
		case 0x80, 0x90:
			start := m.GetNoteStart(&ch, &key, &value)
			if !start && !m.GetNoteEnd(&ch, &key) {
				return &FormatError{t + 1, e.at, "a note that cannot be read"}
			}
			queue := &open[int(ch&15)<<7|int(key&127)]
			k := channelKey{t, int(ch) + 1}
			if start {
				if len(r.notes) >= maxNotes {
					return &FormatError{t + 1, e.at, fmt.Sprintf("more than %d notes", maxNotes)}
				}
				if len(*queue) > 0 {
					r.count(e.tick, k, "note", "%s struck on a key already down: the first note-off ends the first of them")
				}
				*queue = append(*queue, int32(len(r.notes)))
				r.notes = append(r.notes, noteOrigin{track: t, on: i, off: -1, note: score.Note{Voice: k.channel, Key: int(key), Velocity: int(value), On: tick}})
				break
			}
			if len(*queue) == 0 {
				r.source.stray = append(r.source.stray, noteOff{t, i, ch, key})
				r.count(e.tick, k, "note-off", "%s with no note to end: left out")
				break
			}
			n := &r.notes[(*queue)[0]]
			*queue = (*queue)[1:]
			n.off, n.note.Off = i, tick
			if n.note.Off == n.note.On {
				r.count(e.tick, k, "note", "%s without length: kept, one tick long")
			}
		case 0xA0:
			m.GetPolyAfterTouch(&ch, &key, &value)
			r.control(t, ch, score.Control{At: tick, Kind: score.Pressure, Number: int(key), Value: int(value)})
		case 0xB0:
			m.GetControlChange(&ch, &key, &value)
			r.control(t, ch, score.Control{At: tick, Kind: score.Controller, Number: int(key), Value: int(value)})
		case 0xC0:
			m.GetProgramChange(&ch, &value)
			r.control(t, ch, score.Control{At: tick, Kind: score.Program, Value: int(value)})
		case 0xD0:
			m.GetAfterTouch(&ch, &value)
			r.control(t, ch, score.Control{At: tick, Kind: score.Pressure, Number: -1, Value: int(value)})
		case 0xE0:
			var bend int16
			m.GetPitchBend(&ch, &bend, nil)
			r.control(t, ch, score.Control{At: tick, Kind: score.Bend, Value: int(bend)})
		default:
			if e.status == 0xFF {
				r.meta(t, i, e, m, &prefix)
			}
		}
	}
	for i := range open {
		for range open[i] {
			r.count(lastTick(events), channelKey{t, i>>7 + 1}, "note", "%s never let go: held to the end")
		}
	}
	if tr := r.f.tracks[t]; tr.noEnd {
		r.count(lastTick(events), channelKey{t, 0}, "", "the track has no end-of-track event")
	} else if tr.afterEnd > 0 {
		r.count(lastTick(events), channelKey{t, 0}, "", "there are bytes after the end-of-track event: left out")
	}
	if r.f.tracks[t].lostStatus > 0 {
		r.count(0, channelKey{t, 0}, "", "running status goes on across a meta or system event, which the standard forbids: read as meant")
	}
	return nil
}

func lastTick(events []event) int64 {
	if len(events) == 0 {
		return 0
	}
	return events[len(events)-1].tick
}

func (r *reader) control(t int, ch uint8, c score.Control) {
	r.controls = append(r.controls, controlEvent{t, int(ch) + 1, c})
}

// meta takes in one meta event. prefix is the channel that a channel prefix has
// set for the events after it.
func (r *reader) meta(t, i int, e event, m gomidi.Message, prefix *int) {
	var text string
	var ch, beats, unit uint8
	var crotchets float64
	k := channelKey{t, 0}
	switch r.f.data[e.from] {
	case 0x20:
		if m.GetMetaChannel(&ch) && ch < 16 {
			*prefix = int(ch) + 1
		}
	case 0x51:
		if len(m) != 6 || !m.GetMetaTempo(&crotchets) || !(crotchets > 0) || crotchets > 60e6 {
			r.count(e.tick, k, "tempo event", "%s with no usable speed: left out")
			return
		}
		r.source.speeds = append(r.source.speeds, tempoEvent{e.tick, t, i, crotchets})
	case 0x58:
		if len(m) != 7 || m[4] > 7 || !m.GetMetaTimeSig(&beats, &unit, nil, nil) || beats == 0 || unit == 0 {
			r.count(e.tick, k, "time signature", "%s that cannot be read: left out")
			return
		}
		r.metres = append(r.metres, metreEvent{e.tick, int(beats), int(unit)})
	case 0x03:
		if m.GetMetaTrackName(&text); r.names[t] == "" {
			r.names[t] = cleanText(text)
		}
	case 0x04:
		m.GetMetaInstrument(&text)
		if p := (channelKey{t, *prefix}); r.instruments[p] == "" {
			r.instruments[p] = cleanText(text)
		}
	case 0x01:
		m.GetMetaText(&text)
		r.text(t, i, e, *prefix, score.Text, text)
	case 0x05:
		m.GetMetaLyric(&text)
		r.text(t, i, e, *prefix, score.Lyric, text)
	case 0x06:
		m.GetMetaMarker(&text)
		r.text(t, i, e, *prefix, score.Marker, text)
	case 0x07:
		m.GetMetaCuepoint(&text)
		r.text(t, i, e, *prefix, score.Text, text)
	}
}
