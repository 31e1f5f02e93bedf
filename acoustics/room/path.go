package room

import (
	"fmt"
	"strconv"
	"strings"

	"afterchord/acoustics/air"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/radiation"
)

// Times are the reverberation times in the octave bands, s: RT60, and in a coupled space the T30 that an octave filter measures of both
// slopes together, far from the organ.
func (r *Room) Times() octave.Bands {
	if r.Slow == nil || r.Measured != nil {
		return r.RT60
	}
	return r.Decay().together
}

// RT is the reverberation time at hz, s: that of the octave band which holds it (see [Room.Times]).
func (r *Room) RT(hz float64) float64 { return r.Times()[octave.Index(hz)] }

// MidRT is the reverberation time that a room is spoken of by, s: the mean of 500 Hz and 1 kHz (see [Room.Times]).
func (r *Room) MidRT() float64 { return midOf(r.Times()) }

// midOf is the mean of 500 Hz and 1 kHz.
func midOf(b octave.Bands) float64 { return (b[octave.Index(500)] + b[octave.Index(1000)]) / 2 }

// Seat finds a seat by name (any case; "" is the middle) or by its distance from the organ's front in
// metres ("12.5"), on the axis at a seated listener's ear.
func (r *Room) Seat(name string) (Seat, error) {
	want := strings.ToLower(strings.TrimSpace(name))
	if want == "" {
		want = "middle"
	}
	names := make([]string, len(r.Seats))
	for i, s := range r.Seats {
		if strings.ToLower(s.Name) == want {
			return s, nil
		}
		names[i] = s.Name
	}
	if y, err := strconv.ParseFloat(strings.TrimSuffix(strings.ReplaceAll(want, " ", ""), "m"), 64); err == nil {
		if !(y >= 0.5 && y <= r.SizeM[0]) {
			return Seat{}, fmt.Errorf("seat at %s m: %s is %.1f m long; give metres from 0.5 to %.1f",
				name, r.Name, r.SizeM[0], r.SizeM[0])
		}
		return Seat{Name: want, At: geometry.Point{Y: y, Z: min(earHeight, r.SizeM[2]/2)}}, nil
	}
	return Seat{}, fmt.Errorf("no seat %q in %s: give %s or metres from the organ", name, r.Name, strings.Join(names, ", "))
}

// OrganMiddle is the place that stands for the whole organ where divisions are not told
// apart: just behind the front on the axis, 4 m up or half the room's height.
func (r *Room) OrganMiddle() geometry.Point {
	return geometry.Point{Y: -0.5, Z: min(4, r.SizeM[2]/2)}
}

// MinDistance keeps the direct sound finite at a source, m.
const MinDistance = 0.5

// intensityToPressure turns W/m² per W into (20 µPa)² per pW: ρc·1e-12/(20e-6)².
func (r *Room) intensityToPressure() float64 {
	return air.Impedance(r.TempC) * 1e-12 / (20e-6 * 20e-6)
}

// Fit is p, the place of a division of an organ, as it can be in the room: a case that is higher, wider or deeper than the room is
// lowered and drawn in until it stands inside, a hand's breadth from ceiling and walls and no farther behind the organ's front than
// half the room's length.
func (r *Room) Fit(p geometry.Point) geometry.Point {
	const clear = 0.3 // m
	side := max(0, r.SizeM[1]/2-clear)
	return geometry.Point{
		X: min(side, max(-side, p.X)),
		Y: max(-r.SizeM[0]/2, p.Y),
		Z: min(max(clear, r.SizeM[2]-clear), p.Z),
	}
}

// Ahead is the cosine of the angle between the way from the source to the seat and the way straight ahead from the organ's front.
func (r *Room) Ahead(source geometry.Point, seat Seat) float64 {
	source = r.Fit(source)
	return (seat.At.Y - source.Y) / max(MinDistance, source.Distance(seat.At))
}

const (
	buildUp        = 0.5  // of the time that the direct sound takes
	longestBuildUp = 0.08 // s
)

// Path is how the energy of an omnidirectional source at source reaches seat.
//
// The direct sound is ρc/(4πd²), less the air's absorption over d (ISO 9613-1). The reverberant sound is
// ρc·4/A·exp(-13.8·d/(cT)): it has no part before the direct sound arrives, so it falls with
// distance (Barron & Lee, J. Acoust. Soc. Am. 84 (1988) 618: 31200·T/V·e^(-0.04d/T) re the direct
// sound at 10 m). A coupled space adds its slope as a second term beside the first. All of this holds at each frequency
// (see [Decay]); an octave's Gain is its mean, and its Rate is that of the time which an octave filter measures.
// In a church the first reflections at a far seat are fewer and weaker than that, as aisles, piers and vaults send them about, and
// plain Barron makes back seats too clear: Martellotta corrects Barron's theory by early reflections whose intensity falls as the distance from the source
// grows (Caratteristiche acustiche delle chiese romaniche in Puglia, doctoral thesis, Ancona 2001, nine churches of 1500 to 30 000 m³; the abstract was read,
// its printed values could not be opened). Cirillo & Martellotta, J. Acoust. Soc. Am. 118 (2005) 232, let the reverberant sound begin the later
// the farther off the source is, and the early reflections grow up to it (from memory). Here the reverberant sound grows as 1-exp(-2t/b) over b = BuildUpS, a share of the
// time that the direct sound takes: that share is an assumption of this package.
//
// The source stands where [Room.Fit] has it, and sends as much into all directions; see [Room.OrganPath]. For a measured room the terms are fitted to the response in each octave band and
// only the delay follows from the places.
func (r *Room) Path(source geometry.Point, seat Seat) Path {
	return r.pathToward(source, seat, octave.Flat(1))
}

// OrganPath is how the energy of the organ as a whole reaches seat: Path from its middle with the direct sound of a case, which points
// ahead ([radiation.Toward]).
func (r *Room) OrganPath(seat Seat) Path {
	return r.pathToward(r.OrganMiddle(), seat, radiation.Toward(r.Ahead(r.OrganMiddle(), seat), 0))
}

// pathToward is Path with a direct sound that is toward times as strong in each octave band.
func (r *Room) pathToward(source geometry.Point, seat Seat, toward octave.Bands) Path {
	c := air.SpeedOfSound(r.TempC)
	d := max(MinDistance, r.Fit(source).Distance(seat.At))
	p := Path{DistanceM: d, DelayS: d / c}
	if r.Measured != nil {
		fit := r.fit
		if fit == nil {
			fit = fitResponse(r.Measured, r.RT60)
		}
		p.Direct = fit.direct
		for i := range p.Tail {
			p.Tail[i] = append([]Term(nil), fit.tail[i]...)
		}
		return p
	}
	if !r.ConcertHall {
		p.BuildUpS = min(longestBuildUp, buildUp*p.DelayS)
	}
	p.fine = newFinePath(r, d, p.BuildUpS, toward)
	p.fine.mean(&p, r)
	return p
}
