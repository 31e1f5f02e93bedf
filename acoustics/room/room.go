// Package room holds buildings: how long they ring in each octave band, where one sits in them, and how the energy of a
// source reaches a seat. Rooms are built in, or come from a time, from sizes and surfaces, from a file or from a recording.
package room

import (
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/octave"
)

// Room is one building. It is read-only once made.
type Room struct {
	Name, Title string
	VolumeM3    float64
	SizeM       [3]float64   // length (from the organ to the back), width, height, m
	RT60        octave.Bands // s; of the first slope alone where there is another (see [Room.Times])
	ConcertHall bool         // early reflections reach every seat; in a church they weaken with distance (see [Room.Path])
	Slow        *SlowDecay   // the second slope of a coupled space; nil where there is one slope
	TempC       float64      // °C
	Humidity    float64      // relative, %
	NoiseDB     octave.Bands // background noise, dB SPL in each octave band
	Seats       []Seat       // from front to back; "console" among them
	Seed        int64
	Measured    *impulse.Response // a measured response, used as it is; nil for a computed room

	// ResponseFile is the WAV that Measured was read from, as the room file names
	// it; empty for a computed room and for a response inside the room file.
	ResponseFile string

	// Cautions are what the room's figures have to be read with: a single clap, a gate, too near; counted or described, not measured.
	Cautions []string
	// UnsureHz are the octave band centres at which the reverberation time was measured but is not sure, ascending.
	UnsureHz []float64

	fit *measuredFit // what Path needs of Measured

	empty  *octave.Bands // the times without the people that were added; nil where none were
	people int
}

// SlowDecay is the late slope of a coupled space: level LevelDB below the first
// slope's at the start, decaying over RT60.
type SlowDecay struct {
	LevelDB float64
	RT60    octave.Bands
}

// Seat is a named place to listen from.
type Seat struct {
	Name string
	At   geometry.Point
}

// Path is how the energy of a source reaches a seat, per octave band. A source
// of P pW gives in the steady state a mean-square pressure, in (20 µPa)²,
// of P·(Direct + Σ Tail.Gain); an impulse of energy E gives E·Direct at
// DelayS and then E·Σ Gain·Rate·exp(-Rate·(t-DelayS)).
type Path struct {
	DistanceM float64
	DelayS    float64
	Direct    octave.Bands // (20 µPa)² per pW, mean over the band
	Tail      [octave.N][]Term

	// BuildUpS is how long after the direct sound the reverberant sound takes to build up at the seat, s.
	BuildUpS float64

	fine *finePath // what Direct and Tail are the means of; nil for a measured room
}

// Term is one exponential of a decay.
type Term struct {
	Gain float64 // steady-state mean-square pressure, (20 µPa)² per pW
	Rate float64 // of the energy, 1/s: 6·ln 10/RT60 = 13.8155/RT60
}
