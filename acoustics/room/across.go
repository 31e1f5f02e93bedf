package room

import (
	"math"
	"sync"
	"sync/atomic"

	"afterchord/acoustics/air"
	"afterchord/acoustics/decay"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
)

// A room's times are given for octave bands, as octave filters measure them. Between the bands the decay changes
// steadily: what the surfaces take goes straight from centre to centre on a logarithmic scale, and what the air takes is that of the
// frequency itself (ISO 9613-1).

const (
	perOctave = 12                   // lines in an octave
	lineCount = octave.N * perOctave // from the lowest edge to the highest
	maxSlopes = 2                    // of a decay
)

// Decay is how fast the reverberant sound of a room falls at each frequency.
type Decay struct {
	surface, air [maxSlopes]octave.Bands // at the centres: rate of the surfaces, 1/s, and share of the air's rate
	slopes       int
	tempC        float64
	humidity     float64
	c            float64

	lines    [maxSlopes][lineCount]float64 // rate at each line, 1/s
	together octave.Bands                  // T30 of two slopes, s
}

// decayKey is what a Decay depends on.
type decayKey struct {
	rt60, slow      octave.Bands
	coupled         bool
	slowDB          float64
	tempC, humidity float64
}

var (
	decaysLock sync.Mutex
	decays     = map[decayKey]*Decay{}
)

// mostDecays bounds what is remembered of rooms.
const mostDecays = 64

// Decay is how the room's sound decays at each frequency, so that an octave filter measures RT60. It is nil for a measured room,
// whose response is used as it is.
func (r *Room) Decay() *Decay {
	if r.Measured != nil {
		return nil
	}
	key := decayKey{rt60: r.RT60, tempC: r.TempC, humidity: r.Humidity}
	if r.Slow != nil {
		key.slow, key.slowDB, key.coupled = r.Slow.RT60, r.Slow.LevelDB, true
	}
	decaysLock.Lock()
	defer decaysLock.Unlock()
	if d := decays[key]; d != nil {
		return d
	}
	d := newDecay(key)
	if len(decays) >= mostDecays {
		clear(decays)
	}
	decays[key] = d
	return d
}

func newDecay(key decayKey) *Decay {
	d := &Decay{slopes: 1, tempC: key.tempC, humidity: key.humidity, c: air.SpeedOfSound(key.tempC)}
	d.measuredAs(0, key.rt60)
	if key.coupled {
		d.slopes = 2
		d.measuredAs(1, key.slow)
		for b := range d.together {
			d.together[b] = filteredT30(b, 2, noDirect, func(slope, line int) Term {
				k := d.lines[slope][line]
				if slope == 0 {
					return Term{1 / k, k}
				}
				return Term{math.Pow(10, key.slowDB/10) / k, k}
			})
		}
	}
	return d
}

// measuredAs finds the rates at the centres with which an octave filter measures rt60.
func (d *Decay) measuredAs(slope int, rt60 octave.Bands) {
	var centre octave.Bands
	for b, t := range rt60 {
		centre[b] = decay.Rate(t)
	}
	for range 12 {
		d.set(slope, centre)
		for b, t := range rt60 {
			if got := d.measured(slope, b); got > 0 {
				centre[b] *= min(1.5, max(0.67, got/t))
			}
		}
	}
	d.set(slope, centre)
}

// withAir is what octave filters measure where a formula gives the times centre, s, with absorption coefficients that hold for
// whole octaves and with the air of the octaves' centres: within an octave the air takes more of the high notes than of the low,
// which are left.
func withAir(centre octave.Bands, tempC, humidity float64) (t octave.Bands) {
	c := air.SpeedOfSound(tempC)
	for b, at := range centre {
		k, inAir := decay.Rate(at), c*airAttenuation(octave.Exact(b), tempC, humidity)
		surface, share := max(0, k-inAir), min(1, k/inAir)
		lines := airOfLines(tempC, humidity)
		t[b] = filteredT30(b, 1, noDirect, func(_, line int) Term {
			rate := surface + share*c*lines[line]
			return Term{1 / rate, rate}
		})
		if !(t[b] > 0) {
			t[b] = at // no room's; whoever checks it finds it as it is
		}
	}
	return t
}

// measured is the T30 that an octave filter measures of a slope alone, s.
func (d *Decay) measured(slope, band int) float64 {
	return filteredT30(band, 1, noDirect, func(_, line int) Term {
		k := d.lines[slope][line]
		return Term{1 / k, k}
	})
}

// set takes the rates at the octaves' centres. Where the air alone would take more than that, its part is less than it should be.
func (d *Decay) set(slope int, centre octave.Bands) {
	for b, k := range centre {
		inAir := d.c * airAttenuation(octave.Exact(b), d.tempC, d.humidity)
		d.surface[slope][b], d.air[slope][b] = max(0, k-inAir), min(1, k/inAir)
	}
	for i, air := range airOfLines(d.tempC, d.humidity) {
		d.lines[slope][i] = d.rate(slope, lineHz(i), air)
	}
}

// Slopes is how many exponentials the decay has: 1, or 2 in a coupled space.
func (d *Decay) Slopes() int { return d.slopes }

// Rate is the rate of the energy's decay at hz, 1/s, of a slope (0, or 1 for that of a coupled space).
func (d *Decay) Rate(slope int, hz float64) float64 {
	return d.rate(slope, hz, airAttenuation(hz, d.tempC, d.humidity))
}

// rate is Rate where the air takes so much, 1/m.
func (d *Decay) rate(slope int, hz, air float64) float64 {
	x := math.Log2(max(hz, 1)/1000) + 5
	b := int(min(octave.N-2, max(0, math.Floor(x))))
	u := min(1, max(0, x-float64(b)))
	mix := func(v *octave.Bands) float64 { return v[b] + u*(v[b+1]-v[b]) }
	return mix(&d.surface[slope]) + mix(&d.air[slope])*d.c*air
}

// airAttenuation is the energy attenuation of the air at hz, 1/m.
func airAttenuation(hz, tempC, humidity float64) float64 {
	return air.Absorption(hz, tempC, humidity, air.StandardPressure) * math.Ln10 / 10
}

// airOfLines is airAttenuation at each line. The last air that was asked for is remembered: a room asks for the same many times.
func airOfLines(tempC, humidity float64) *[lineCount]float64 {
	if a := lastAir.Load(); a != nil && a.tempC == tempC && a.humidity == humidity {
		return &a.lines
	}
	a := &lineAir{tempC: tempC, humidity: humidity}
	for i := range a.lines {
		a.lines[i] = airAttenuation(lineHz(i), tempC, humidity)
	}
	lastAir.Store(a)
	return &a.lines
}

type lineAir struct {
	tempC, humidity float64
	lines           [lineCount]float64
}

var lastAir atomic.Pointer[lineAir]

// lineHz is the frequency of a line, Hz: perOctave of them in each octave band, evenly on a logarithmic scale.
func lineHz(line int) float64 {
	return octave.Exact(0) * math.Exp2((float64(line)+0.5)/perOctave-0.5)
}

// lineShare is the part of its octave band, in Hz, that a line stands for.
var lineShare = sync.OnceValue(func() (share [perOctave]float64) {
	for i := range share {
		share[i] = (math.Exp2(float64(i+1)/perOctave) - math.Exp2(float64(i)/perOctave))
	}
	return share
})

// lineFilters are the lines that an octave filter hears and how much of each, for noise equally strong per hertz.
var lineFilters = sync.OnceValue(func() *[octave.N]lineFilter {
	f := new([octave.N]lineFilter)
	for b := range f {
		first := -1
		for i := range lineCount {
			g := octave.Gain(b, lineHz(i))
			if g*g < 1e-5 {
				continue
			}
			if first < 0 {
				first = i
			}
			f[b].power = append(f[b].power, g*g*lineHz(i))
		}
		f[b].first = first
	}
	return f
})

type lineFilter struct {
	first int
	power []float64
}

// filteredT30 is the T30 (ISO 3382-1) that an octave filter measures of the lines' exponentials after a direct sound, s; NaN where it
// cannot be found.
func filteredT30(band, slopes int, direct func(line int) float64, term func(slope, line int) Term) float64 {
	const points = 240
	f := &lineFilters()[band]
	slowest, first, rest := math.Inf(1), 0.0, 0.0
	for i, w := range f.power {
		first += w * direct(f.first+i)
		for s := range slopes {
			t := term(s, f.first+i)
			slowest = min(slowest, t.Rate)
			rest += w * t.Gain
		}
	}
	// So far that the slowest line has fallen to 40 dB below all at the start.
	dt := (4*math.Ln10 + math.Log1p(first/rest)) / slowest / points
	falls := make([]fall, 0, 4+maxSlopes*len(f.power))
	for i, w := range f.power {
		for s := range slopes {
			t := term(s, f.first+i)
			falls = append(falls, fall{w * t.Gain, math.Exp(-t.Rate * dt)})
		}
	}
	for len(falls)%4 != 0 {
		falls = append(falls, fall{})
	}
	var curve [points]float64
	for ; len(falls) > 0; falls = falls[4:] { // four at a time: each is a chain of products
		a, b, c, d := falls[0], falls[1], falls[2], falls[3]
		for k := range curve {
			curve[k] = curve[k] + a.energy + b.energy + c.energy + d.energy
			a.energy *= a.step
			b.energy *= b.step
			c.energy *= c.step
			d.energy *= d.step
		}
	}
	curve[0] += first
	return measure.DecayTime(curve[:], 1, -5, -35) * dt
}

// fall is the energy of a line, and what a step in time leaves of it.
type fall struct{ energy, step float64 }

// noDirect is a direct sound that is not there.
func noDirect(int) float64 { return 0 }
