package room

import (
	"fmt"
	"math"

	"afterchord/acoustics/air"
	"afterchord/acoustics/decay"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/octave"
)

// Reverberation times that a room may have, s.
const (
	MinRT60 = 0.2
	MaxRT60 = 15.0
)

// surfaceCurve is the reverberation of plaster, stone, glass and wood re 500 Hz and 1 kHz before
// the air takes its part: longer in the bass, a little shorter in the treble. It is an
// assumption of this package (common practice in masonry churches), not a published curve.
var surfaceCurve = octave.Bands{1.25, 1.22, 1.16, 1.08, 1, 1, 0.96, 0.92, 0.88}

// ChurchCurve gives the reverberation time per octave band of a church whose mean at
// 500 Hz and 1 kHz is rt60 (s): surfaceCurve with the air of tempC (°C) and
// humidity (%) added by ISO 9613-1, so that the treble of a long room is the air's; as octave filters measure it.
func ChurchCurve(rt60, tempC, humidity float64) octave.Bands {
	c, m := air.SpeedOfSound(tempC), air.Attenuation(tempC, humidity)
	bands := func(surface float64) (b octave.Bands) {
		for i := range b {
			b[i] = 1 / (1/(surface*surfaceCurve[i]) + c*m[i]/decay.Nepers)
		}
		return b
	}
	var measured octave.Bands
	asked := rt60
	for range 5 { // what a filter measures lies within a per cent of the time at its centre
		lo, hi := asked, 100*asked
		for range 60 {
			mid := (lo + hi) / 2
			if midOf(bands(mid)) < asked {
				lo = mid
			} else {
				hi = mid
			}
		}
		measured = withAir(bands(lo), tempC, humidity)
		asked *= rt60 / midOf(measured)
	}
	return measured
}

// ChurchVolume is the volume, m³, that a church of rt60 (s) is taken to have where
// none is given: 1000·(T/1.6)^2.4, at least 20. It is an assumption of this package that runs
// through the built-in rooms (1000 m³ at 1.6 s, 35 000 m³ at 7 s). Churches scatter widely about any such line: over
// Portuguese ones volume explains less than half of the spread of the times (R² 0.42; Tavares & Carvalho 2013, abstract), so half or
// twice the volume is as likely.
func ChurchVolume(rt60 float64) float64 {
	return max(20, 1000*math.Pow(rt60/1.6, 2.4))
}

// Bounds of a room of which only time and volume are known.
const (
	leastAcross   = 2.4  // width and height of the smallest rooms, m
	leastWithRoom = 15.0 // m³: smaller ones have no place for an organ and its player
	driest        = 0.9  // mean absorption of all surfaces (Eyring) beyond which no room with an organ in it goes
	liveliest     = 0.01 // and below: bare polished stone takes up one to two hundredths (see materials.toml)
)

// churchSize is a box of volume with a nave's proportions, 2.6 : 1 : 1.05; a small room is wide and high enough to stand in.
func churchSize(volume float64) [3]float64 {
	k := math.Cbrt(volume / (2.6 * 1.05))
	width, height := max(k, leastAcross), max(1.05*k, leastAcross)
	return [3]float64{volume / (width * height), width, height}
}

// checkPossible tells why a box of such a volume cannot ring for rt60, s at 500 Hz to 1 kHz; nil where it can.
func checkPossible(rt60, volume float64, size [3]float64, tempC float64) error {
	c := air.SpeedOfSound(tempC)
	surface := 2 * (size[0]*size[1] + size[0]*size[2] + size[1]*size[2])
	taken := decay.EquivalentArea(volume, rt60, c) / surface
	switch {
	case volume < leastWithRoom:
		return badValue("volume", "volume %g m³: no organ has place in less than %g m³", volume, leastWithRoom)
	case -math.Expm1(-taken) > driest:
		return badValue("volume", "%g s in %g m³: the room's %.0f m² of surfaces would have to take up more than nine tenths of the sound; give a longer time or a smaller volume", rt60, volume, surface)
	case taken < liveliest:
		return badValue("volume", "%g s in %g m³: the room's %.0f m² of surfaces would have to take up less than a hundredth of the sound, as no wall does; give a shorter time or a larger volume", rt60, volume, surface)
	}
	return nil
}

// quietChurch is the background noise of an empty church in a quiet street, dB SPL per
// octave band; an assumption near the shape of a noise rating curve of about 20.
var quietChurch = octave.Bands{48, 43, 37, 30, 25, 21, 17, 14, 12}

const (
	defaultTempC    = 18.0
	defaultHumidity = 60.0
	earHeight       = 1.2 // seated listener, m
	defaultSeed     = 1
)

// FromRT is a church of which only the reverberation time is known: rt60 in s, the mean
// of 500 Hz and 1 kHz, from [MinRT60] to [MaxRT60]. Its bands follow [ChurchCurve] and its volume
// [ChurchVolume].
func FromRT(seconds float64) (*Room, error) { return FromRTAndVolume(seconds, 0) }

// FromRTAndVolume is [FromRT] of a volume, m³, that is known; 0 where it is not.
func FromRTAndVolume(seconds, volume float64) (*Room, error) {
	if !(seconds >= MinRT60 && seconds <= MaxRT60) {
		return nil, fmt.Errorf("reverberation time %v s: give seconds from %g to %g", seconds, MinRT60, MaxRT60)
	}
	r := &Room{
		Name:     fmt.Sprintf("rt-%g", seconds),
		Title:    fmt.Sprintf("Church of %g s", seconds),
		VolumeM3: volume,
		TempC:    defaultTempC, Humidity: defaultHumidity,
		RT60:    ChurchCurve(seconds, defaultTempC, defaultHumidity),
		NoiseDB: quietChurch,
		Seed:    defaultSeed,
	}
	if volume == 0 {
		r.VolumeM3 = math.Round(ChurchVolume(seconds))
	} else if err := checkVolume(volume); err != nil {
		return nil, err
	}
	r.SizeM = churchSize(r.VolumeM3)
	if err := checkPossible(seconds, r.VolumeM3, r.SizeM, r.TempC); err != nil {
		return nil, err
	}
	r.Seats = defaultSeats(r.SizeM)
	return r, nil
}

// defaultSeats are the organist's bench before the organ's front and three places on the
// axis: a fifth, a half and five sixths of the length away.
func defaultSeats(size [3]float64) []Seat {
	at := func(name string, y float64) Seat {
		return Seat{name, geometry.Point{Y: y, Z: min(earHeight, size[2]/2)}}
	}
	l := size[0]
	return []Seat{
		at("console", min(1.2, 0.1*l)), at("front", 0.2*l), at("middle", 0.5*l), at("back", 0.83*l),
	}
}
