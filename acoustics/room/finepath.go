package room

import (
	"math"

	"afterchord/acoustics/air"
	"afterchord/acoustics/decay"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
)

// finePath is a path at each line of each octave band.
type finePath struct {
	room      *Room
	decay     *Decay
	distanceM float64
	buildUpS  float64
	toward    octave.Bands // how much stronger the direct sound is than that of a source that sends as much into all directions
	direct    [lineCount]float64
	tail      [maxSlopes][lineCount]Term
}

func newFinePath(r *Room, distanceM, buildUpS float64, toward octave.Bands) *finePath {
	f := &finePath{room: r, decay: r.Decay(), distanceM: distanceM, buildUpS: buildUpS, toward: toward}
	for i := range f.direct {
		var rates [maxSlopes]float64
		for s := range f.decay.slopes {
			rates[s] = f.decay.lines[s][i]
		}
		hz := lineHz(i)
		f.direct[i] = f.directAt(hz)
		terms := f.termsAt(octave.Index(hz), rates)
		for s := range f.decay.slopes {
			f.tail[s][i] = terms[s]
		}
	}
	return f
}

// directAt is the mean-square pressure of the direct sound at hz, (20 µPa)² per pW.
func (f *finePath) directAt(hz float64) float64 {
	d := f.distanceM
	return f.toward[octave.Index(hz)] * f.room.intensityToPressure() / (4 * math.Pi * d * d) * math.Exp(-airAttenuation(hz, f.room.TempC, f.room.Humidity)*d)
}

// termsAt are the exponentials where the slopes have these rates.
func (f *finePath) termsAt(band int, rates [maxSlopes]float64) (out [maxSlopes]Term) {
	r := f.room
	c := air.SpeedOfSound(r.TempC)
	area := decay.EquivalentArea(r.VolumeM3, decay.Nepers/rates[0], c)
	out[0] = Term{r.intensityToPressure() * 4 / area * math.Exp(-rates[0]*f.distanceM/c), rates[0]}
	if f.decay.slopes > 1 {
		// LevelDB compares the two decays as they start, so Gain·Rate.
		start := out[0].Gain * out[0].Rate * math.Pow(10, r.Slow.LevelDB/10)
		out[1] = Term{start / rates[1], rates[1]}
	}
	return out
}

// lacks tells whether a slope builds up later than its exponential.
func (f *finePath) lacks(slope int) bool { return slope == 0 && f.buildUpS > 0 }

// missing is what the build-up of a church leaves of an exponential's beginning, to be added: its Gain is below 0.
func (f *finePath) missing(slope int, t Term) Term {
	if !f.lacks(slope) {
		return Term{0, t.Rate}
	}
	rate := t.Rate + 2/f.buildUpS
	return Term{-t.Gain * t.Rate / rate, rate}
}

// mean fills the octaves of p.
func (f *finePath) mean(p *Path, r *Room) {
	share := lineShare()
	for b := range octave.N {
		var gain [maxSlopes]float64
		for i, w := range share {
			line := b*perOctave + i
			p.Direct[b] += w * f.direct[line]
			for s := range f.decay.slopes {
				gain[s] += w * (f.tail[s][line].Gain + f.missing(s, f.tail[s][line]).Gain)
			}
		}
		p.Tail[b] = append(p.Tail[b], Term{gain[0], decay.Rate(r.RT60[b])})
		if f.decay.slopes > 1 {
			p.Tail[b] = append(p.Tail[b], Term{gain[1], decay.Rate(r.Slow.RT60[b])})
		}
	}
}

// Sum is the mean over an octave band of what of makes of the exponentials at each frequency of it.
func (p *Path) Sum(band int, of func(Term) float64) (sum float64) {
	if p.fine == nil {
		for _, t := range p.Tail[band] {
			sum += of(t)
		}
		return sum
	}
	for i, w := range lineShare() {
		for s := range p.fine.decay.slopes {
			t := p.fine.tail[s][band*perOctave+i]
			sum += w * of(t)
			if p.fine.lacks(s) {
				sum += w * of(p.fine.missing(s, t))
			}
		}
	}
	return sum
}

// At is the path at one frequency for a sound that lasts: the mean-square pressure of the direct sound, (20 µPa)² per pW, and the
// exponentials in which what it has brought into the room dies away. In a measured room all frequencies of an octave band are alike.
func (p *Path) At(hz float64) (direct float64, tail []Term) {
	if p.fine == nil {
		b := octave.Index(hz)
		return p.Direct[b], p.Tail[b]
	}
	var rates [maxSlopes]float64
	for s := range p.fine.decay.slopes {
		rates[s] = p.fine.decay.Rate(s, hz)
	}
	terms := p.fine.termsAt(octave.Index(hz), rates)
	for s := range terms[:p.fine.decay.slopes] {
		terms[s].Gain += p.fine.missing(s, terms[s]).Gain
	}
	return p.fine.directAt(hz), append([]Term(nil), terms[:p.fine.decay.slopes]...)
}

// Late is the exponentials at one frequency that an impulse ends in, once the reverberant sound has built up.
func (p *Path) Late(hz float64) []Term {
	_, tail := p.At(hz)
	if p.fine != nil {
		for s, t := range tail {
			if whole := 1 + p.fine.missing(s, Term{1, t.Rate}).Gain; whole > 0 {
				tail[s].Gain = t.Gain / whole
			}
		}
	}
	return tail
}

// Decay is how the tail decays at each frequency; nil in a measured room.
func (p *Path) Decay() *Decay {
	if p.fine == nil {
		return nil
	}
	return p.fine.decay
}

// ReverberationT30 is the T30 that an octave filter measures at the seat, s (ISO 3382-1; IEC 61260-1). Far from the organ the
// quickly decaying part of a band has lost more on its way, so that what is left decays a little more slowly; beside it the direct
// sound is most of the first 5 dB, and the quick beginning of the decay counts.
func (p *Path) ReverberationT30(band int) float64 {
	if p.fine == nil {
		return decay.Nepers / p.Tail[band][len(p.Tail[band])-1].Rate
	}
	f := p.fine
	return filteredT30(band, f.decay.slopes, func(line int) float64 { return f.direct[line] }, func(slope, line int) Term { return f.tail[slope][line] })
}

// DiffuseT30 is [Path.ReverberationT30] of a tail that fades in over mixing s, its energy t s after the direct sound being share(t)
// of what the exponentials have.
func (p *Path) DiffuseT30(band int, share func(t float64) float64, mixing float64) float64 {
	const points, parts = 400, 16
	f := &lineFilters()[band]
	slowest := math.Inf(1)
	for i := range f.power {
		slowest = min(slowest, p.fine.tail[0][f.first+i].Rate)
	}
	dt := 4.5 * math.Ln10 / slowest / points
	var curve [points]float64 // energy in each step, then what is left
	for i, w := range f.power {
		t := p.fine.tail[0][f.first+i]
		for k := range curve {
			at := float64(k) * dt
			if at >= mixing {
				curve[k] += w * t.Gain * math.Exp(-t.Rate*at) * -math.Expm1(-t.Rate*dt)
				continue
			}
			for j := range parts {
				x := at + (float64(j)+0.5)*dt/parts
				curve[k] += w * t.Gain * t.Rate * math.Exp(-t.Rate*x) * share(x) * dt / parts
			}
		}
		curve[points-1] += w * t.Gain * math.Exp(-t.Rate*points*dt) // all that is left
	}
	for k := points - 2; k >= 0; k-- {
		curve[k] += curve[k+1]
	}
	return measure.DecayTime(curve[:], 1, -5, -35) * dt
}
