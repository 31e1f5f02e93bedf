// Package voicing describes the instrument: pipes and how they speak, stops,
// divisions, couplers, the swell box, and which of them each dynamic draws.
//
// It knows nothing of scores or rooms. An [Organ] comes from a TOML description
// ([Parse]) or is one of the built-in instruments ([BuiltIn]); [Organ.Reach] says which
// pipes a key sounds, [Organ.Pipe] how one of them sounds and speaks.
package voicing

import (
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/octave"
)

// MaxDivisions and MaxStops bound an organ description.
const (
	MaxDivisions = 8
	MaxStops     = 64 // a division
	MaxCouplers  = 64
)

// Organ is one instrument. It is read-only once parsed.
type Organ struct {
	Name        string // short name, as given to --organ
	Title       string
	PitchHz     float64 // A4 at 8 ft, Hz (ISO 16: 440)
	Temperament Temperament
	Divisions   []Division // manuals from the nearest up in the order played, then Pedal
	Couplers    []Coupler
	Pistons     int // general pistons; 0 where stops are drawn by hand
	Seed        int64

	plan [len(marks)]planStep // by mark, ppp first
	made *pipeBook            // nil: nothing is kept
}

// Division is one keyboard's pipes.
type Division struct {
	Name          string // "Great", "Swell", "Choir", "Pedal", …
	Pedal         bool   // played by the feet
	LowKey        int    // MIDI key of the lowest key, 36 = C2
	HighKey       int
	Action        Action
	Place         geometry.Point // where its pipes stand
	Enclosed      bool
	Box           Box     // meaningful where Enclosed
	TremulantHz   float64 // 0 where there is none
	TremulantCent float64 // depth of pitch, cents peak
	TremulantDB   float64 // depth of level, dB peak
	Stops         []Stop
}

// Action is the mechanism between key and pallet.
type Action struct {
	Kind   string  // "tracker", "electro-pneumatic", "electric"
	DelayS float64 // from key to pallet, s
}

// Box is a swell box.
type Box struct {
	ClosedDB octave.Bands // level with the box shut re open, dB (<= 0), per octave band
}

// Stop is one knob: one rank of pipes or, for a mixture, several.
type Stop struct {
	Name         string
	Family       Family
	Construction Construction
	Feet         float64 // 8, 16, 2+2/3, …; the nominal of a mixture's lowest rank
	Ranks        []Rank  // one for an ordinary stop
	LevelDB      float64 // trim of the stop re its family's usual sound power, dB
	Brightness   float64 // added to the slope of the spectrum, dB an octave (0: the family's)
	WindPa       float64 // wind pressure, Pa
	LowKey       int     // compass of the stop; the division's where the file gives none
	HighKey      int
	TremulantOK  bool
	DetuneCents  float64 // a celeste's offset; 0 for others
}

// Rank is one row of pipes. Feet holds from FromKey up to the next entry's key
// (mixtures break back); an ordinary stop has one entry.
type Rank struct{ Breaks []Break }

// Break is the length that holds from a key on.
type Break struct {
	FromKey int
	Feet    float64
}

// Coupler makes a key of one division also play another (or the same) division's pipes.
type Coupler struct {
	Name     string
	From, To int // indexes into Divisions: keys of From sound pipes of To
	Shift    int // semitones: 0 unison, 12 octave, -12 sub-octave
	// Fixed marks a coupler that has no knob and is always on (a pull-down pedal).
	Fixed bool
}

// Registration is what is drawn. It is comparable and so can be a map key.
type Registration struct {
	Stops      [MaxDivisions]uint64 // bit s of Stops[d]: stop s of division d
	Couplers   uint64               // bit c: coupler c
	Tremulants uint16               // bit d: the tremulant of division d
}

// With returns r and everything drawn in o.
func (r Registration) With(o Registration) Registration {
	for d := range r.Stops {
		r.Stops[d] |= o.Stops[d]
	}
	r.Couplers |= o.Couplers
	r.Tremulants |= o.Tremulants
	return r
}

// PipeID names one pipe of one organ. Key is the key of the pipe's own division
// that plays it without octave couplers.
type PipeID struct {
	Division, Stop, Rank uint8
	Key                  uint8
}

// Pipe is one pipe: what it sounds like in steady state and how it speaks.
type Pipe struct {
	ID       PipeID
	Hz       float64   // fundamental as tuned (temperament, celeste, small scatter)
	Partials []Partial // ascending frequency
	Noise    Noise
	Speech   Speech
}

// Partial is one harmonic of a pipe in steady state.
type Partial struct {
	N     int     // harmonic number
	Hz    float64 // N times the fundamental
	Power float64 // sound power, pW (10·lg of it is dB re 1 pW)
	RiseS float64 // τ: amplitude 1-exp(-(t-DeadS)/τ)
	Phase float64 // radians, seeded
}

// Speech is how a pipe starts and stops.
type Speech struct {
	DeadS    float64 // from pallet to first sound, s
	ReleaseS float64 // time constant of the fundamental's amplitude after the pallet shuts, s; see ReleaseOf
	// The pitch begins GlideCents off the steady one, below 0 for flat, and comes to it with the time constant GlideS, s.
	GlideCents, GlideS float64
}

// Noise is the chiff, the edge tone and the wind noise of a pipe, as powers in pW about a centre frequency.
type Noise struct {
	ChiffPower float64 // at the onset
	EdgePower  float64 // of the edge tone, which comes and goes with the chiff
	EdgeHz     float64 // no harmonic of the pipe
	ChiffHz    float64
	ChiffS     float64 // its decay time constant, s (amplitude)
	WindPower  float64 // while it speaks
	WindHz     float64
}

// Temperament is how far each pitch class from C to B lies from equal temperament, cents.
type Temperament struct {
	Name  string
	Cents [12]float64
}

// planStep is what one dynamic mark draws on each division; given is false for a
// division whose description leaves the mark out.
type planStep struct {
	draws [MaxDivisions]Registration
	given [MaxDivisions]bool
}
