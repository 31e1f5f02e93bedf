// Package levels says how loud an organ is at a seat of a room while its pipes sound steadily: each dynamic mark on each
// division, the whole organ, the softest stop.
package levels

import (
	"math"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/radiation"
	"afterchord/acoustics/room"
	"afterchord/acoustics/weighting"
	"afterchord/voicing"
)

// Level is a sound pressure level at the seat.
type Level struct {
	DB  float64 // re 20 µPa
	DBA float64 // the same, A-weighted (IEC 61672-1) at the octave bands' centres
}

// Part is what one keyboard holds down.
type Part struct {
	Division int
	Keys     []int // MIDI keys
}

// Listener hears an organ from a seat. It keeps what it has worked out and is for one goroutine at a time.
type Listener struct {
	organ *voicing.Organ
	paths []room.Path // per division
	ahead []float64   // per division, [room.Room.Ahead] of the seat; 0 in a measured room
	power map[voicing.PipeID]octave.Bands
}

// NewListener places a listener at seat of room.
func NewListener(o *voicing.Organ, hall *room.Room, seat room.Seat) *Listener {
	l := &Listener{organ: o, power: map[voicing.PipeID]octave.Bands{}}
	for d := range o.Divisions {
		l.paths = append(l.paths, hall.Path(o.Divisions[d].Place, seat))
		ahead := 0.0
		if hall.Measured == nil {
			ahead = hall.Ahead(o.Divisions[d].Place, seat)
		}
		l.ahead = append(l.ahead, ahead)
	}
	return l
}

// Of is the level of all that parts sound together through r. Every pipe counts once, the energies of pipes
// add, and each division reaches the seat by its own path. The swell boxes stand open, or shut.
func (l *Listener) Of(r voicing.Registration, parts []Part, shut bool) Level {
	power := make([]octave.Bands, len(l.organ.Divisions))
	for _, id := range pipes(l.organ, r, parts) {
		for b, x := range l.pipe(id) {
			power[id.Division][b] += x
		}
	}
	var sum, weighted float64
	for d := range power {
		for b, p := range power[d] {
			x := p * l.gain(d, b, shut)
			sum += x
			weighted += x * weighting.A(octave.Centres[b])
		}
	}
	return Level{10 * math.Log10(sum), 10 * math.Log10(weighted)}
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

// pipe is the sound power of a pipe per octave band, pW.
func (l *Listener) pipe(id voicing.PipeID) octave.Bands {
	b, ok := l.power[id]
	if !ok {
		for _, x := range l.organ.Pipe(id).Partials {
			b[octave.Index(x.Hz)] += x.Power
		}
		l.power[id] = b
	}
	return b
}

// gain is the steady mean-square pressure, (20 µPa)² per pW, of a division in an octave band.
func (l *Listener) gain(division, band int, shut bool) float64 {
	d, turned, box := &l.organ.Divisions[division], 0.0, 1.0
	if shut && d.Enclosed {
		turned, box = 1, math.Pow(10, d.Box.ClosedDB[band]/10)
	}
	g := l.paths[division].Direct[band] * radiation.Toward(l.ahead[division], turned)[band]
	for _, t := range l.paths[division].Tail[band] {
		g += t.Gain
	}
	return g * box
}
