// Package counted turns what an organist counts in the church, "about five seconds after the last chord", into a
// reverberation time: the time in which such a church would let a full chord fade below the threshold of hearing in its own quiet.
package counted

import (
	"fmt"
	"math"

	"afterchord/acoustics/hearing"
	"afterchord/acoustics/room"
	"afterchord/sim/field"
	"afterchord/sim/levels"
	"afterchord/sim/pipework"
	"afterchord/voicing"
)

// Estimate is a reverberation time, s, mean of 500 Hz and 1 kHz, with the ends of its range.
type Estimate struct {
	RT60        float64
	Least, Most float64
}

// Seconds that can be counted. Below two the large pipes' own dying away is as long as the room's, and the count says nothing of it.
const (
	MinSeconds = 2.0
	MaxSeconds = 20.0
)

// shortestRT is the shortest church that is looked for, s: see [MinSeconds].
const shortestRT = 1.2

// What is not known when somebody counts (working figures): how soon they start and stop, how loud the chord was, how
// quiet the church was, and how keen the ear.
const (
	countS  = 0.5 // s either way
	noiseDB = 6.0 // either way
	keenDB  = 8.0 // masked threshold of a keen listener with two ears below the mean of one (see the settings keen_db and two_ears_db)
	chordS  = 4.0 // the chord is held so long, s
)

// listener is one set of circumstances.
type listener struct {
	mark    string
	noiseDB float64 // on the noise of a quiet church
	ear     *hearing.Model
}

// RT60 is the reverberation time of a church in which the full chord of o is heard for so many seconds after its keys have
// come up, at the middle seat. The church is one of which only the time is known ([room.FromRT]); its range is that of the count, the
// chord (ff, or mf), the noise and the ear. Counts outside [MinSeconds] to [MaxSeconds], or that no church
// of 1.2 to 15 s gives, are an error.
func RT60(seconds float64, o *voicing.Organ) (Estimate, error) {
	if !(seconds >= MinSeconds && seconds <= MaxSeconds) {
		return Estimate{}, fmt.Errorf("%g s: give %g to %g counted seconds", seconds, MinSeconds, MaxSeconds)
	}
	mean := hearing.New(hearing.Options{})
	keen := mean.Keener(keenDB)
	var e Estimate
	var err error
	if e.RT60, err = solve(seconds, o, listener{"ff", 0, mean}); err != nil {
		return e, err
	}
	// A loud chord in a quiet church is heard longest, so the same count means the shortest time.
	if e.Least, err = solve(seconds-countS, o, listener{"ff", -noiseDB, keen}); err != nil {
		e.Least = min(e.RT60, shortestRT)
	}
	if e.Most, err = solve(seconds+countS, o, listener{"mf", noiseDB, mean}); err != nil {
		e.Most = room.MaxRT60
	}
	return e, nil
}

// Room is the church of the counted seconds ([RT60]), of a volume, m³, that is known (0 where it is not), with a caution that says
// how far its time may be off.
func Room(seconds, volume float64, o *voicing.Organ) (*room.Room, Estimate, error) {
	e, err := RT60(seconds, o)
	if err != nil {
		return nil, e, err
	}
	r, err := room.FromRTAndVolume(math.Round(10*e.RT60)/10, volume)
	if err != nil {
		return nil, e, err
	}
	r.Name, r.Title = "counted", fmt.Sprintf("Church of %.1f s (counted)", e.RT60)
	r.Cautions = []string{room.Unmeasured("counted by ear", e.RT60, e.Least, e.Most)}
	return r, e, nil
}

// solve finds the church in which l hears the chord for so many seconds; longer churches let it be heard longer.
func solve(seconds float64, o *voicing.Organ, l listener) (float64, error) {
	lo, hi := shortestRT, room.MaxRT60
	for _, end := range []float64{lo, hi} {
		s, err := l.hears(end, o)
		if err != nil {
			return 0, err
		}
		if (end == lo) == (s > seconds) {
			return 0, fmt.Errorf("no church of %g to %g s lets a chord be heard for %g s", lo, hi, seconds)
		}
	}
	for hi > 1.01*lo {
		mid := math.Sqrt(lo * hi)
		s, err := l.hears(mid, o)
		if err != nil {
			return 0, err
		}
		if s < seconds {
			lo = mid
		} else {
			hi = mid
		}
	}
	return math.Sqrt(lo * hi), nil
}

// hears is how long after the keys have come up the chord is above its masked threshold, s.
func (l listener) hears(rt60 float64, o *voicing.Organ) (float64, error) {
	r, err := room.FromRT(rt60)
	if err != nil {
		return 0, err
	}
	seat, err := r.Seat("middle")
	if err != nil {
		return 0, err
	}
	for b := range r.NoiseDB {
		r.NoiseDB[b] += l.noiseDB
	}
	hall := field.NewHall(o, r, seat, l.ear, nil)
	var chord []pipework.Event
	for _, id := range levels.WholePipes(o, l.mark) {
		chord = append(chord, pipework.Event{Pipe: id, OnS: 0, OffS: chordS})
	}
	work, signal := l.ear.NewWork(), make([]float64, l.ear.N())
	audible := func(after float64) bool {
		clear(signal)
		for i := range chord {
			hall.Pipe(signal, &chord[i], chordS+after)
		}
		return l.ear.Audible(signal, hall.Noise, work)
	}
	lo, hi := 0.0, 3*rt60
	for hi-lo > 0.01 {
		if mid := (lo + hi) / 2; audible(mid) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo, nil
}
