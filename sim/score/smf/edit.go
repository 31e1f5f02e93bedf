package smf

import (
	"fmt"
	"math"

	"afterchord/sim/score"
)

// keyOf is one key of one channel of one track: what a note-off is matched by.
type keyOf struct {
	channelKey
	key int
}

// editNotes compares the notes with the file's and sets what must change.
func editNotes(s *score.Score, src *source, parts []channelKey, edits []trackEdit) error {
	kept := make([]bool, len(src.notes))
	touched := map[keyOf]bool{} // keys on which the order of events may have changed
	for i := range s.Notes {
		n := s.Notes[i]
		if n.Part < 0 || n.Part >= len(parts) {
			return fmt.Errorf("note %d is on part %d, which is not there", n.ID, n.Part)
		}
		if n.Key < 0 || n.Key > 127 {
			return fmt.Errorf("note %d has key %d, MIDI has 0 to 127", n.ID, n.Key)
		}
		if n.On < 0 {
			return fmt.Errorf("note %d begins before the piece", n.ID)
		}
		place := parts[n.Part]
		if n.ID < 1 || n.ID > len(src.notes) || kept[n.ID-1] {
			touched[keyOf{place, n.Key}] = true
			edits[place.track].note(n, place.channel, int64(src.scale))
			continue
		}
		kept[n.ID-1] = true
		o := src.notes[n.ID-1]
		if sameKeystroke(n, o.note) {
			continue
		}
		was := parts[o.note.Part]
		touched[keyOf{was, o.note.Key}] = true
		touched[keyOf{place, n.Key}] = true
		if was != place || n.Key != o.note.Key || o.off < 0 {
			edits[o.track].leaveNote(o)
			edits[place.track].note(n, place.channel, int64(src.scale))
			continue
		}
		on, off := noteEvents(n, place.channel, int64(src.scale))
		if n.On != o.note.On || n.Velocity != o.note.Velocity {
			edits[o.track].leave(o.on)
			edits[o.track].add = append(edits[o.track].add, on)
		}
		if n.Off != o.note.Off {
			edits[o.track].leave(o.off)
			off.msg = src.message(nil, src.tracks[o.track].events[o.off])
			edits[o.track].add = append(edits[o.track].add, off)
		}
	}
	for i, o := range src.notes {
		if !kept[i] {
			touched[keyOf{parts[o.note.Part], o.note.Key}] = true
			edits[o.track].leaveNote(o)
		}
	}
	src.settle(touched, parts, kept, edits)
	return nil
}

// settle sees to it that on keys where something changed no stray note-off ends
// a note too early, and that notes never let go are let go.
func (src *source) settle(touched map[keyOf]bool, parts []channelKey, kept []bool, edits []trackEdit) {
	if len(touched) == 0 {
		return
	}
	for _, x := range src.stray {
		if touched[keyOf{channelKey{x.track, int(x.channel)}, int(x.key)}] {
			edits[x.track].leave(x.event)
		}
	}
	for i, o := range src.notes {
		place := parts[o.note.Part]
		if kept[i] && o.off < 0 && !edits[o.track].drop[o.on] && touched[keyOf{place, o.note.Key}] {
			_, off := noteEvents(o.note, place.channel, int64(src.scale))
			edits[o.track].add = append(edits[o.track].add, off)
		}
	}
}

func sameKeystroke(a, b score.Note) bool {
	return a.Part == b.Part && a.Key == b.Key && a.Velocity == b.Velocity && a.On == b.On && a.Off == b.Off
}

func (e *trackEdit) leaveNote(o noteOrigin) {
	e.leave(o.on)
	if o.off >= 0 {
		e.leave(o.off)
	}
}

func (e *trackEdit) note(n score.Note, channel int, scale int64) {
	on, off := noteEvents(n, channel, scale)
	e.add = append(e.add, on, off)
}

// noteEvents are the events of a note; a note without velocity is given 64, one
// without length a tick.
func noteEvents(n score.Note, channel int, scale int64) (on, off addedEvent) {
	velocity := min(n.Velocity, 127)
	if velocity < 1 {
		velocity = 64
	}
	from := int64(n.On) / scale
	to := max(int64(n.Off)/scale, from+1)
	on = addedEvent{from, rankOn, []byte{0x90 | byte(channel), byte(n.Key), byte(velocity)}}
	off = addedEvent{to, rankOff, []byte{0x80 | byte(channel), byte(n.Key), 64}}
	return on, off
}

// editWords takes out words that are gone and puts in those that are new.
func editWords(s *score.Score, src *source, parts []channelKey, edits []trackEdit) {
	have := map[score.Word]int{}
	for _, w := range s.Words {
		have[w]++
	}
	for _, o := range src.words {
		if have[o.word] > 0 {
			have[o.word]--
		} else {
			edits[o.track].leave(o.event)
		}
	}
	for i := len(s.Words) - 1; i >= 0; i-- { // of equal words the last are the new ones
		w := s.Words[i]
		if have[w] == 0 {
			continue
		}
		have[w]--
		track := 0
		if w.Part >= 0 && w.Part < len(parts) {
			track = parts[w.Part].track
		}
		e := addedEvent{max(0, int64(w.At)/int64(src.scale)), rankMeta, wordEvent(w)}
		edits[track].add = append(edits[track].add, e)
	}
}

// wordEvent is the meta event that is read back as w.
func wordEvent(w score.Word) []byte {
	kind, text := byte(0x01), w.Text
	switch w.Kind {
	case score.Marker:
		kind = 0x06
	case score.Lyric:
		kind = 0x05
	case score.Hairpin:
		switch w.Text {
		case "crescendo":
			text = "cresc."
		case "diminuendo":
			text = "dim."
		default:
			text = "end hairpin"
		}
	}
	return metaEvent(kind, []byte(text))
}

// editTempos keeps the tempo events that still say what holds at their place,
// takes out the others and puts in what is missing, on the first track.
func editTempos(s *score.Score, src *source, edits []trackEdit) error {
	there := map[score.Tick]bool{}
	for _, e := range src.speeds {
		at := score.Tick(e.tick) * src.scale
		if src.division&0x8000 == 0 && s.TempoAt(at) == e.crotchets {
			there[at] = true
		} else {
			edits[e.track].leave(e.event)
		}
	}
	for i, t := range s.Tempos {
		if i+1 < len(s.Tempos) && s.Tempos[i+1].At == t.At || there[t.At] || len(there) == 0 && len(s.Tempos) == 1 && t.Crotchets == 120 {
			continue
		}
		msg, err := tempoMessage(t)
		if err != nil {
			return err
		}
		edits[0].add = append(edits[0].add, addedEvent{int64(t.At) / int64(src.scale), rankMeta, msg})
	}
	return nil
}

// tempoMessage writes a tempo as whole microseconds to the crotchet.
func tempoMessage(t score.Tempo) ([]byte, error) {
	us := math.Round(60e6 / t.Crotchets)
	if !(us >= 1 && us < 1<<24) {
		return nil, fmt.Errorf("a tempo of %g crotchets a minute does not fit a MIDI file (3.58 to 60 000 000)", t.Crotchets)
	}
	v := uint32(us)
	return []byte{0xFF, 0x51, 3, byte(v >> 16), byte(v >> 8), byte(v)}, nil
}
