// Package levels says how loud an organ is at a seat of a room while its pipes sound steadily: each dynamic mark on each
// division, the whole organ, each stop alone.
package levels

import (
	"math"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/room"
	"afterchord/acoustics/weighting"
	"afterchord/sim/field"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/voicing"
)

// Level is how strong a sound is at the seat.
type Level struct {
	DB   float64 // sound pressure level, dB re 20 µPa
	DBA  float64 // the same, A-weighted (IEC 61672-1)
	Sone float64 // loudness in a diffuse field (ISO 532-2), without the room's background noise
}

// Phon is the loudness level.
func (l Level) Phon() float64 { return hearing.Phon(l.Sone) }

// Part is what one keyboard holds down.
type Part struct {
	Division int
	Keys     []int // MIDI keys
}

// Listener hears an organ from a seat. It is for one goroutine at a time.
type Listener struct {
	organ      *voicing.Organ
	open, shut *field.Hall // the swell boxes
	ear        *hearing.Model
	work       *hearing.Work
	bands      []float64 // scratch
}

// NewListener places a listener at seat of room.
func NewListener(o *voicing.Organ, hall *room.Room, seat room.Seat) *Listener {
	ear := hearing.New(hearing.Options{})
	var shut []performance.BoxMove
	for d := range o.Divisions {
		shut = append(shut, performance.BoxMove{Division: d, Open: 0})
	}
	open := field.NewHall(o, hall, seat, ear, nil)
	return &Listener{organ: o, open: open, shut: open.With(shut), ear: ear, work: ear.NewWork(), bands: make([]float64, ear.N())}
}

// Of is the level of all that parts sound together through r. Every pipe counts once, the energies of pipes
// add, and each division reaches the seat by its own path. The swell boxes stand open, or shut.
func (l *Listener) Of(r voicing.Registration, parts []Part, shut bool) Level {
	hall := l.open
	if shut {
		hall = l.shut
	}
	clear(l.bands)
	for _, id := range pipes(l.organ, r, parts) {
		hall.SteadyPipe(l.bands, &pipework.Event{Pipe: id}, 0)
	}
	var sum, weighted float64
	for b, x := range l.bands {
		sum += x
		weighted += x * weighting.A(l.ear.Bands()[b])
	}
	return Level{10 * math.Log10(sum), 10 * math.Log10(weighted), l.ear.Loudness(l.bands, l.work)}
}

// pipes are those that parts sound through r, each once.
func pipes(o *voicing.Organ, r voicing.Registration, parts []Part) []voicing.PipeID {
	seen := map[voicing.PipeID]bool{}
	var out, ids []voicing.PipeID
	for _, p := range parts {
		for _, k := range p.Keys {
			ids = o.Reach(ids[:0], r, p.Division, k)
			for _, id := range ids {
				if !seen[id] {
					seen[id] = true
					out = append(out, id)
				}
			}
		}
	}
	return out
}
