// Package sound turns pipe events into what a listener hears: stereo sound at a seat.
//
// Each pipe's speech is computed once, partial by partial, and kept as an onset and a
// seamless loop; the sounding pipes of a division are mixed from these, pass its swell
// box and tremulant, and reach the seat by the early response of the division's place
// and the late response of the room. [Render] streams; [RenderFile] writes a file whose
// level is chosen for the whole piece.
package sound

import (
	"errors"
	"fmt"
	"math"

	"afterchord/acoustics/response"
	"afterchord/acoustics/room"
	"afterchord/sim/performance"
	"afterchord/sim/pipework"
	"afterchord/voicing"
)

// Job is one piece to be heard from one seat.
type Job struct {
	Organ  *voicing.Organ
	Events []pipework.Event      // sorted by OnS
	Box    []performance.BoxMove // sorted by AtS; a division without moves stands open
	Room   *room.Room
	Seat   room.Seat
	Rate   int // Hz

	// Origin is the sample of the piece at which this job begins, above 0 for an excerpt; the times of Events and Box count from
	// there, and a note that is held already has begun before 0. Chance follows the place in the piece, so that an excerpt
	// sounds as the whole does there.
	Origin int64

	Dry  bool // direct sound only, no room
	Ears bool // for headphones: a sphere with two ears at the seat ([response.Ears]) in place of a stereo pair

	// FullScaleDB is the level, dB re 20 µPa, of a momentary pressure that reaches full
	// scale in the samples handed out by Render: 1 is 20 µPa·10^(FullScaleDB/20). 0 stands for
	// DefaultFullScaleDB. RenderFile chooses its own.
	FullScaleDB float64

	RF64 bool // RenderFile may count in 64 bits where the file outgrows 4 GiB; else it refuses

	// Responses, where they are given, are [NewResponses] of a job with the same Organ, Room, Seat, Rate, Dry and
	// Ears; else they are computed.
	Responses *Responses

	Workers    int   // goroutines; 0: one for each processor. The sound does not depend on it
	CacheBytes int64 // bound on kept pipe sound; 0: 106 MB

	pipe func(voicing.PipeID) voicing.Pipe // replaces Organ.Pipe in tests
}

// DefaultFullScaleDB leaves about 10 dB above the peaks of a full organ of 100 dB.
const DefaultFullScaleDB = 122

// Limits on a job; beyond them Render refuses.
const (
	MaxRate     = 192000
	MinRate     = 8000
	MaxDuration = 48 * 3600 // s
)

// Report is what was rendered.
type Report struct {
	Rate        int
	Frames      int64
	DurationS   float64 // with the tail
	FullScaleDB float64 // dB re 20 µPa of a momentary pressure at full scale
	PeakDBFS    float64 // largest sample, dB re full scale; -Inf for silence
	LoudestDB   float64 // highest level of 125 ms, dB SPL, mean of left and right powers
	LoudestAtS  float64 // where it begins
	LimitedS    float64 // how long the limiter of Render held the level down; 0: it never acted
	Pipes       int     // different pipes that spoke
	PeakPipes   int     // most pipes sounding at once, releases included
}

func (j *Job) check() error {
	switch {
	case j.Organ == nil:
		return errors.New("sound: no organ")
	case j.Room == nil && !j.Dry:
		return errors.New("sound: no room; set Dry for sound without one")
	case j.Rate < MinRate || j.Rate > MaxRate:
		return fmt.Errorf("sound: sample rate %d Hz is outside %d to %d", j.Rate, MinRate, MaxRate)
	case j.Ears && !j.Dry && response.CheckEars(j.Room) != nil:
		return fmt.Errorf("sound: %w", response.CheckEars(j.Room))
	case j.Responses != nil && (j.Responses.ears != j.Ears || j.Responses.rate != j.Rate || len(j.Responses.own) != len(j.Organ.Divisions)):
		return errors.New("sound: the responses were made for another organ, sample rate or listener")
	case j.Origin < 0:
		return fmt.Errorf("sound: it begins at sample %d of the piece; expected 0 or later", j.Origin)
	case math.IsNaN(j.FullScaleDB) || math.IsInf(j.FullScaleDB, 0):
		return errors.New("sound: the full-scale level is not a number")
	}
	first := -float64(j.Origin) / float64(j.Rate)
	last := first
	for i, e := range j.Events {
		switch {
		case !(e.OnS >= first) || !(e.OffS >= max(e.OnS, 0)) || e.OffS > MaxDuration:
			return fmt.Errorf("sound: event %d runs from %g s to %g s; expected %g <= on <= off <= %d s", i, e.OnS, e.OffS, first, MaxDuration)
		case e.OnS < last:
			return fmt.Errorf("sound: event %d at %g s comes after one at %g s; events must be sorted", i, e.OnS, last)
		case int(e.Pipe.Division) >= len(j.Organ.Divisions):
			return fmt.Errorf("sound: event %d asks for division %d of an organ that has %d", i, e.Pipe.Division, len(j.Organ.Divisions))
		}
		last = e.OnS
	}
	return nil
}
