package texture

import (
	"cmp"
	"encoding/binary"
	"math/rand/v2"
	"slices"

	"afterchord/cmd/bench/internal/vlq"
)

// writer gathers the lines of a piece.
type writer struct {
	rand  *rand.Rand
	end   int // ticks
	lines []*line
}

// line is what one track holds: keys that wander between low and high.
type line struct {
	w              *writer
	name           string
	low, high, key int
	velocity       byte
	events         []event
}

// event is a message of a track, without its delta time.
type event struct {
	at   int
	rank int // at the same tick releases go first, then words, then keys
	data []byte
}

func (w *writer) line(name string, low, high int, velocity byte) *line {
	l := &line{w: w, name: name, low: low, high: high, key: (low + high) / 2, velocity: velocity}
	w.lines = append(w.lines, l)
	return l
}

// step moves the line by up to most semitones, never by none, within its compass.
func (l *line) step(most int) int {
	d := 1 + l.w.rand.IntN(most)
	if l.w.rand.IntN(2) == 0 {
		d = -d
	}
	if l.key+d < l.low || l.key+d > l.high {
		d = -d
	}
	l.key += d
	return l.key
}

// play presses a key at a tick for so many ticks.
func (l *line) play(at, length, key int) {
	if at >= l.w.end {
		return
	}
	channel := byte(slices.Index(l.w.lines, l) & 15)
	l.events = append(l.events,
		event{at, 2, []byte{0x90 | channel, byte(key), l.velocity}},
		event{min(at+length, l.w.end), 0, []byte{0x80 | channel, byte(key), 0}})
}

func (l *line) chord(at, length int, keys ...int) {
	for _, k := range keys {
		l.play(at, length, k)
	}
}

// run plays n notes of so many ticks each, a little detached.
func (l *line) run(at, n, length, most int) {
	for i := range n {
		l.play(at+i*length, length-max(1, length/16), l.step(most))
	}
}

// text writes words at a tick.
func (l *line) text(at int, words string) {
	if at < l.w.end {
		l.events = append(l.events, event{at, 1, meta(1, []byte(words))})
	}
}

func meta(kind byte, data []byte) []byte {
	return append([]byte{0xff, kind, byte(len(data))}, data...)
}

// file is the piece, with its tempo in a first track.
func (w *writer) file(crotchets float64) []byte {
	out := []byte("MThd\x00\x00\x00\x06\x00\x01")
	out = binary.BigEndian.AppendUint16(out, uint16(len(w.lines)+1))
	out = binary.BigEndian.AppendUint16(out, ticks)
	us := uint32(60e6 / crotchets)
	out = track(out, []event{{0, 0, meta(0x51, []byte{byte(us >> 16), byte(us >> 8), byte(us)})}, {0, 0, meta(0x58, []byte{4, 2, 24, 8})}})
	for _, l := range w.lines {
		out = track(out, append([]event{{0, -1, meta(3, []byte(l.name))}}, l.events...))
	}
	return out
}

func track(out []byte, events []event) []byte {
	slices.SortStableFunc(events, func(a, b event) int { return cmp.Or(a.at-b.at, a.rank-b.rank) })
	var t []byte
	at := 0
	for _, e := range events {
		t = append(vlq.Append(t, e.at-at), e.data...)
		at = e.at
	}
	t = append(t, 0, 0xff, 0x2f, 0)
	out = append(out, "MTrk"...)
	return append(binary.BigEndian.AppendUint32(out, uint32(len(t))), t...)
}
