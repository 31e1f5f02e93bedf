package field

import (
	"encoding/binary"
	"math"
	"sync"

	"afterchord/voicing"
)

// memo is what runs in one hall have worked out, by the figures that it was worked out from: a rewriting leaves most of a piece as it was.
// What it answers does not depend on what it remembers.
type memo struct {
	mu    sync.Mutex
	known map[string]any
	bytes int
}

// mostRemembered is how many bytes of figures a memo holds; it then begins anew.
const mostRemembered = 64 << 20

// Remembering is the hall with a memory: what runs in it ask of [Recall] is worked out once for the same figures, and they keep checkpoints
// for [RunBeside].
func (h *Hall) Remembering() *Hall {
	other := h.With(nil)
	other.box = h.box
	if other.memo == nil {
		other.memo = &memo{known: map[string]any{}}
	}
	return other
}

// Recall gives what work gives, from memory where the hall remembers it. figures writes all that work depends on, to the bit, besides the
// hall itself; what is called tells one kind of work from another.
func Recall[T any](h *Hall, called string, figures func(*Figures), work func() T) T {
	m := h.memo
	if m == nil {
		return work()
	}
	f := &Figures{h: h, key: append(make([]byte, 0, 1024), called...)}
	figures(f)
	m.mu.Lock()
	known, ok := m.known[string(f.key)].(T)
	m.mu.Unlock()
	if ok {
		return known
	}
	v := work()
	m.mu.Lock()
	defer m.mu.Unlock()
	if m.bytes += len(f.key); m.bytes > mostRemembered {
		clear(m.known)
		m.bytes = len(f.key)
	}
	m.known[string(f.key)] = v
	return v
}

// Figures are what a piece of work depends on.
type Figures struct {
	h   *Hall
	key []byte
}

// Int writes whole numbers.
func (f *Figures) Int(values ...int) {
	for _, v := range values {
		f.key = binary.LittleEndian.AppendUint64(f.key, uint64(v))
	}
}

// Float writes numbers.
func (f *Figures) Float(values ...float64) {
	for _, v := range values {
		f.key = binary.LittleEndian.AppendUint64(f.key, math.Float64bits(v))
	}
}

// Registration writes which stops are drawn.
func (f *Figures) Registration(r voicing.Registration) {
	for _, stops := range r.Stops {
		f.Int(int(stops))
	}
	f.Int(int(r.Couplers), int(r.Tremulants))
}

// Chords writes which pipes sound, and when.
func (f *Figures) Chords(chords []Chord) {
	f.Int(len(chords))
	for i := range chords {
		c := &chords[i]
		f.Float(c.OnS, c.OffS)
		if c.ensemble == nil {
			f.Int(-1)
		} else {
			f.Int(c.ensemble.id)
		}
	}
}

// Boxes writes how all boxes stand between two times, s.
func (f *Figures) Boxes(fromS, toS float64) {
	for d, moves := range f.h.box {
		first, end := 0, len(moves)
		for first+1 < len(moves) && moves[first+1].AtS <= fromS {
			first++
		}
		for end > first+1 && moves[end-2].AtS >= toS {
			end--
		}
		f.Int(d, end-first)
		for _, m := range moves[first:end] {
			f.Float(m.AtS, m.Open)
		}
	}
}

// BoxesAt writes how all boxes stand at a time, s.
func (f *Figures) BoxesAt(atS float64) {
	for d, moves := range f.h.box {
		f.Int(min(1, len(moves)))
		f.Float(f.h.openAt(d, atS))
	}
}

// Residue writes what an onset found in the room, and since when.
func (f *Figures) Residue(o *Onset) {
	f.Float(o.HeardS, o.AtS)
	for _, row := range o.Residue[:f.h.terms] {
		for _, v := range row {
			f.key = binary.LittleEndian.AppendUint32(f.key, math.Float32bits(v))
		}
	}
}

// Rising writes a set of pipes that begin together.
func (f *Figures) Rising(r *Rising) {
	for d, power := range r.power {
		f.Int(len(power))
		if power != nil {
			f.Float(power...)
			f.Float(r.boxes[d].aim[:]...)
		}
	}
}
