package room

import (
	"fmt"
	"math"

	"afterchord/acoustics/air"
	"afterchord/acoustics/decay"
	"afterchord/acoustics/octave"
)

// Limits of a room, far beyond any church.
const (
	MinVolume = 5.0 // m³
	MaxVolume = 2e6
)

// Plan is a room described by what it is built of.
type Plan struct {
	Name, Title string
	VolumeM3    float64
	SizeM       [3]float64 // length, width, height, m; zero: a nave's proportions
	Seats       []Seat     // empty: those of every room
	Surfaces    []Surface
	People      int
	TempC       float64  // °C
	Humidity    float64  // relative, %
	Eyring      bool     // Eyring's formula instead of Sabine's (dry rooms)
	Cautions    []string // what its figures have to be read with
}

// Area is the equivalent absorption area of surfaces, people and air, m² per octave band,
// as EN 12354-6:2003, equation 1, adds it up.
func (p Plan) Area() octave.Bands {
	m := air.Attenuation(p.TempC, p.Humidity)
	person := PersonArea()
	var a octave.Bands
	for i := range a {
		for _, s := range p.Surfaces {
			a[i] += s.AreaM2 * s.Alpha[i]
		}
		a[i] += float64(p.People)*person[i] + 4*m[i]*p.VolumeM3
	}
	return a
}

// RT60 is the reverberation time per octave band, s, by Sabine or Eyring with air absorption, as octave filters measure it.
func (p Plan) RT60() octave.Bands {
	c := air.SpeedOfSound(p.TempC)
	area := p.Area()
	if !p.Eyring {
		var t octave.Bands
		for i := range t {
			t[i] = decay.Sabine(p.VolumeM3, area[i], c)
		}
		return withAir(t, p.TempC, p.Humidity)
	}
	m := air.Attenuation(p.TempC, p.Humidity)
	var surface float64
	for _, s := range p.Surfaces {
		surface += s.AreaM2
	}
	var t octave.Bands
	for i := range t {
		// People count as absorption on the surfaces they cover.
		alpha := min(0.999, (area[i]-4*m[i]*p.VolumeM3)/surface)
		t[i] = decay.Eyring(p.VolumeM3, surface, alpha, m[i], c)
	}
	return withAir(t, p.TempC, p.Humidity)
}

// longestChurch is the reverberation time, s, mean of 500 Hz and 1 kHz, that hardly any empty church passes; the largest
// cathedrals ring for 8 to 12 s (common practice).
const longestChurch = 12.0

// TooLong is what to say of surfaces that make the empty room ring longer than any church; "" of others.
func (p Plan) TooLong() string {
	p.People = 0
	t := midOf(p.RT60())
	if !(t > longestChurch) {
		return ""
	}
	return fmt.Sprintf("no church rings for %.0f s: surfaces that are not given reflect everything here; add the rest as \"%s\", with the area of floor, ceiling and walls together", t, allElse)
}

// Room makes the room that the plan describes, with the default seats and background noise.
// It refuses an impossible plan with a one-line error.
func (p Plan) Room() (*Room, error) {
	if err := checkVolume(p.VolumeM3); err != nil {
		return nil, err
	}
	if err := checkClimate(p.TempC, p.Humidity); err != nil {
		return nil, err
	}
	if len(p.Surfaces) == 0 {
		return nil, fmt.Errorf("no surfaces: a room needs at least one with its area")
	}
	for _, s := range p.Surfaces {
		if err := s.check(); err != nil {
			return nil, err
		}
	}
	if err := checkPeople(p.People); err != nil {
		return nil, err
	}
	r := &Room{Name: p.Name, Title: p.Title, VolumeM3: p.VolumeM3, SizeM: p.SizeM,
		TempC: p.TempC, Humidity: p.Humidity, RT60: p.RT60(), NoiseDB: quietChurch, Seed: defaultSeed, Cautions: p.Cautions}
	for i, t := range r.RT60 {
		if !(t > 0) || t > 2*MaxRT60 {
			return nil, fmt.Errorf("the surfaces give %.1f s at %g Hz: a room of %g m³ needs more absorption (limit %g s)",
				t, octave.Centres[i], p.VolumeM3, 2*MaxRT60)
		}
		r.RT60[i] = max(t, 0.05)
	}
	if r.SizeM == ([3]float64{}) {
		r.SizeM = churchSize(p.VolumeM3)
	}
	if r.Seats = p.Seats; len(r.Seats) == 0 {
		r.Seats = defaultSeats(r.SizeM)
	}
	return r, nil
}

func checkPeople(n int) error {
	if n < 0 || n > 100000 {
		return badValue("people", "people %d: give a number from 0 to 100000", n)
	}
	return nil
}

func checkVolume(v float64) error {
	if !(v >= MinVolume && v <= MaxVolume) {
		return badValue("volume", "volume %v m³: give a number from %g to %g", v, MinVolume, MaxVolume)
	}
	return nil
}

func checkClimate(tempC, humidity float64) error {
	if !(tempC >= -20 && tempC <= 50) {
		return badValue("temperature", "temperature %v °C: give a number from -20 to 50", tempC)
	}
	if !(humidity >= 1 && humidity <= 100) {
		return badValue("humidity", "humidity %v %%: give a number from 1 to 100", humidity)
	}
	return nil
}

func checkSize(size [3]float64) error {
	for i, what := range []string{"length", "width", "height"} {
		if !(size[i] >= 1.5 && size[i] <= 500) || math.IsNaN(size[i]) {
			return badValue("size", "size: %s %v m: give metres from 1.5 to 500", what, size[i])
		}
	}
	return nil
}
