package measure

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/decay"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/octave"
)

var manyTakes = flag.Int("takes", 4, "simulated recordings for TestClapsInChurches; 200 for the figure")

// church is a recording of claps in a church whose bands decay each in its own time, with early reflections, a place to clap and one to record,
// and a recorder.
type church struct {
	rt       [octave.N]float64 // s
	claps    int
	over     float64 // direct sound re the room's answer, dB
	centreHz float64 // of the clap's spectrum
	noiseDB  float64 // of the building's noise re the clap's answer
	rumble   bool    // the noise falls with frequency, as traffic and heating do; else it is even
	hum      bool
	phone    bool
	recorder string  // "", "fast gain", "slow gain", "expander", "gate", "limiter", "clipped"
	visitor  string  // "", "cough", "door", "steps"
	early    bool    // the recording was stopped too soon
	slowDB   float64 // of a second slope re the first at its start, dB, as a coupled room gives it; 0 for none
	slower   float64 // its time re the first one's
	seed     uint64
}

func (c church) String() string {
	return fmt.Sprintf("%.1f/%.1f s, %d claps at %.0f Hz, direct %.0f dB, noise %.0f dB, %s %s phone %t rumble %t early %t seed %d", c.rt[4], c.rt[5], c.claps, c.centreHz, c.over, c.noiseDB, c.recorder, c.visitor, c.phone, c.rumble, c.early, c.seed)
}

// anyChurch is a church and its claps as chance has it.
func anyChurch(rng *rand.Rand, seed uint64) church {
	pick := func(list ...string) string { return list[rng.IntN(len(list))] }
	c := church{claps: 1 + rng.IntN(4), over: -12 + 32*rng.Float64(), centreHz: 400 + 2200*rng.Float64(), noiseDB: -64 + 34*rng.Float64(), rumble: rng.IntN(2) == 0, hum: rng.IntN(3) == 0,
		phone: rng.IntN(2) == 0, early: rng.IntN(8) == 0, seed: seed}
	if rng.IntN(2) == 0 {
		c.recorder = pick("fast gain", "slow gain", "expander", "gate", "limiter", "clipped")
	}
	if rng.IntN(4) == 0 {
		c.visitor = pick("cough", "door", "steps")
	}
	mid := 1 + 7*rng.Float64()
	bass, treble := 0.8+0.8*rng.Float64(), 0.35+0.4*rng.Float64()
	for b := range c.rt { // bass up to half as long again, treble shorter, as plaster and air have it
		u := math.Log2(octave.Exact(b) / 707)
		if u < 0 {
			c.rt[b] = mid * (1 + (bass-1)*min(1, -u/2.5))
		} else {
			c.rt[b] = mid * (1 - (1-treble)*min(1, u/3.5)*min(1, mid/2))
		}
	}
	return c
}

// bandpass is a resonance about an octave band, second order (the cookbook formula of audio equalisers, R. Bristow-Johnson).
type bandpass struct{ b0, a1, a2, x1, x2, y1, y2 float64 }

func newBandpass(hz, q, rate float64) *bandpass {
	w := 2 * math.Pi * hz / rate
	alpha := math.Sin(w) / (2 * q)
	return &bandpass{b0: alpha / (1 + alpha), a1: -2 * math.Cos(w) / (1 + alpha), a2: (1 - alpha) / (1 + alpha)}
}

func (f *bandpass) next(x float64) float64 {
	y := f.b0*(x-f.x2) - f.a1*f.y1 - f.a2*f.y2
	f.x2, f.x1, f.y2, f.y1 = f.x1, x, f.y1, y
	return y
}

// record makes the recording, and the room's answer alone to one clap, without noise or recorder: the truth is measured on that.
func (c church) record() (rec, pure *impulse.Response) {
	rng := rand.New(rand.NewPCG(c.seed, 5))
	const rate = clapRate
	longest := slices.Max(c.rt[2:7]) * max(1, c.slower)
	answer := make([]float64, int(1.1*longest*rate))
	for b := 1; b < octave.N && octave.Exact(b) < rate/2.5; b++ {
		f, g := newBandpass(octave.Exact(b), 1.41, rate), newBandpass(octave.Exact(b), 1.41, rate)
		k := decay.Rate(c.rt[b]) / 2 / rate
		colour := math.Exp(-0.5 * math.Pow(math.Log2(octave.Exact(b)/c.centreHz)/1.6, 2))
		for i := range answer {
			answer[i] += colour * g.next(f.next(rng.NormFloat64())) * c.falling(k*float64(i)) * 3
		}
	}
	energy := 0.0
	for _, v := range answer[:rate/4] {
		energy += v * v
	}
	level := math.Sqrt(energy / (rate / 4))
	for n := range 12 { // early reflections
		at := int((0.008 + 0.07*rng.Float64()) * rate)
		for i := range 24 {
			answer[at+i] += level * 3 * math.Exp(-float64(n)/6) * math.Exp(-float64(i)/6) * rng.NormFloat64()
		}
	}
	pure = &impulse.Response{Rate: rate, L: slices.Clone(answer), R: answer}
	gap := math.Min(1.15*longest+0.5, 7)
	length := 0.7 + float64(c.claps)*gap
	if c.early {
		length -= 0.6 * gap
	}
	x := make([]float64, int(length*rate))
	direct := math.Pow(10, c.over/20) * level * math.Sqrt(c.rt[5]*rate/13.8/10)
	for n := range c.claps {
		at := int((0.6 + float64(n)*gap) * rate)
		loud := math.Pow(10, (rng.Float64()-0.5)*8/20)
		sign := float64(1 - 2*rng.IntN(2))
		for i, v := range answer {
			if at+i < len(x) {
				x[at+i] += loud * sign * v
			}
		}
		f := newBandpass(c.centreHz, 0.7, rate)
		for i := 0; i < 160 && at+i < len(x); i++ {
			x[at+i] += loud * direct * f.next(math.Exp(-float64(i)/14)*rng.NormFloat64())
		}
	}
	noise := level * math.Pow(10, c.noiseDB/20)
	low := 0.0
	for i := range x {
		n := rng.NormFloat64()
		if c.rumble {
			low += 0.03 * (n - low)
			n = 5*low + 0.25*n
		}
		if c.hum {
			n += 1.5 * math.Sin(2*math.Pi*50*float64(i)/rate)
		}
		x[i] += noise * n
	}
	c.visit(x, rng, level)
	c.through(x)
	return &impulse.Response{Rate: rate, L: x, R: x}, pure
}

// falling is the amplitude of the answer where the first slope alone has fallen to exp(-by).
func (c church) falling(by float64) float64 {
	if c.slowDB == 0 {
		return math.Exp(-by)
	}
	return math.Sqrt(math.Exp(-2*by) + math.Pow(10, c.slowDB/10)*math.Exp(-2*by/c.slower))
}

// visit adds the sounds of others in the church.
func (c church) visit(x []float64, rng *rand.Rand, level float64) {
	burst := func(at, length, hz, loud float64) {
		f := newBandpass(hz, 1, clapRate)
		k := decay.Rate(c.rt[4]) / 2 / clapRate
		from := int(at * clapRate)
		for i := from; i < len(x); i++ {
			in := rng.NormFloat64()
			t := float64(i-from) / clapRate
			e := 1.0
			if t > length {
				e = 0.3 * math.Exp(-k*float64(i-from-int(length*clapRate)))
			}
			x[i] += loud * level * e * f.next(in)
		}
	}
	at := 0.9 + rng.Float64()*(float64(len(x))/clapRate-1)
	switch c.visitor {
	case "cough":
		burst(at, 0.25, 700, 0.3)
	case "door":
		burst(at, 0.1, 150, 2)
	case "steps":
		for t := 0.3; t < float64(len(x))/clapRate-0.3; t += 0.6 {
			burst(t, 0.02, 400, 0.02)
		}
	}
}

// through puts the sound through the recorder.
func (c church) through(x []float64) {
	if c.phone { // small microphones: little below 200 Hz, a rise at 4 kHz
		hp, last := 0.0, 0.0
		a := math.Exp(-2 * math.Pi * 200 / clapRate)
		f := newBandpass(4000, 1.5, clapRate)
		for i, v := range x {
			hp = a * (hp + v - last)
			last = v
			x[i] = hp + 0.6*f.next(hp)
		}
	}
	peak := 0.0
	for _, v := range x {
		peak = math.Max(peak, math.Abs(v))
	}
	scale := 0.7 / peak
	if c.recorder == "clipped" {
		scale *= 6
	}
	for i := range x {
		x[i] *= scale
	}
	gain := func(target, attackS, releaseS float64, most float64) {
		g, env := most, 0.0
		for i, v := range x {
			env = math.Max(math.Abs(v), env*math.Exp(-1/(0.04*clapRate)))
			want := math.Min(most, target/math.Max(env, 1e-9))
			if want < g {
				g += (want - g) / (attackS * clapRate)
			} else {
				g += (want - g) / (releaseS * clapRate)
			}
			x[i] = v * g
		}
	}
	switch c.recorder {
	case "fast gain":
		gain(0.1, 0.005, 0.6, 4)
	case "slow gain":
		gain(0.1, 0.02, 3, 8)
	case "limiter":
		gain(0.25, 0.001, 0.15, 1)
	case "expander", "gate":
		env, g := 0.0, 1.0
		for i, v := range x {
			env = math.Max(math.Abs(v), env*math.Exp(-1/(0.05*clapRate)))
			want := 1.0
			if env < 0.01 {
				want = math.Pow(env/0.01, 1.5)
				if c.recorder == "gate" {
					want = 0
				}
			}
			g += (want - g) / (0.02 * clapRate)
			x[i] = v * g
		}
	}
	for i := range x {
		x[i] = math.Round(math.Max(-1, math.Min(1, x[i]))*32767) / 32768 // 16 bit
	}
}

// T at 500 Hz and 1 kHz within 10 % of what the room's answer gives alone, or said to be unsure, in 95 of 100 recordings: churches whose bands decay
// in their own times, early reflections, any place, noise that rumbles or hums, people, telephones, and recorders that mean well.
func TestClapsInChurches(t *testing.T) {
	rng := rand.New(rand.NewPCG(2024, 11))
	right, all, sure, clean, given := 0, 0, 0, 0, 0
	bad := map[string]int{}
	for n := range *manyTakes {
		c := anyChurch(rng, uint64(n)+1)
		rec, pure := c.record()
		truth, err := Channel(pure.L, pure.Rate)
		require.NoError(t, err)
		j, err := Takes([]*impulse.Response{rec})
		ok := true
		for _, b := range []int{4, 5} {
			want := truth.Bands[b].T30.Value
			require.InEpsilon(t, c.rt[b], want, 0.12, "the room as it is made, band %d: %s", b, c)
			if err != nil {
				continue
			}
			f := j.Result.Bands[b].RT()
			within := math.Abs(f.Value/want-1) <= 0.1
			if f.Reliable {
				given++
			}
			if f.Reliable && !within {
				ok = false
				t.Logf("%d Hz %.2f s for %.2f s: %s %v", 500*(b-3), f.Value, want, c, j.Cautions)
			}
			if c.recorder == "" && c.visitor == "" && !c.early && c.noiseDB < -50 {
				clean++
				if f.Reliable && within {
					sure++
				}
			}
		}
		all++
		if ok {
			right++
		} else {
			bad[strings.TrimSpace(c.recorder+" "+c.visitor)]++
		}
	}
	t.Logf("%d of %d recordings right or unsure, %d of %d bands sure; %d of %d bands of good recordings sure and right; wrong: %v", right, all, given, 2*all, sure, clean, bad)
	require.GreaterOrEqual(t, float64(right), 0.95*float64(all))
	require.GreaterOrEqual(t, float64(sure), 0.7*float64(clean))
}

// Rooms with a coupled space, whose slower slope begins 13 to 25 dB under the first: T of 500 Hz and 1 kHz within 10 % of what the answer gives alone, or said to be
// unsure, in 95 of 100. What is left are decays whose second slope lies in the noise.
func TestClapsInCoupledChurches(t *testing.T) {
	rng := rand.New(rand.NewPCG(2025, 3))
	right := 0
	for n := range *manyTakes {
		c := anyChurch(rng, uint64(n)+5000)
		c.recorder, c.visitor, c.early = "", "", false
		c.slowDB, c.slower = -13-12*rng.Float64(), 1.4+1.4*rng.Float64()
		short := (1 + 3*rng.Float64()) / c.rt[4]
		for b := range c.rt {
			c.rt[b] *= min(1, short)
		}
		rec, pure := c.record()
		truth, err := Channel(pure.L, pure.Rate)
		require.NoError(t, err)
		j, err := Takes([]*impulse.Response{rec})
		ok := true
		for _, m := range MidBands {
			if f, want := j.Result.Bands[m.Band].RT(), truth.Bands[m.Band].T30.Value; err == nil && f.Reliable && math.Abs(f.Value/want-1) > 0.1 {
				ok = false
				t.Logf("%s %.2f s for %.2f s: %s, second slope %.0f dB, %.2f", m.Name, f.Value, want, c, c.slowDB, c.slower)
			}
		}
		if ok {
			right++
		}
	}
	t.Logf("%d of %d right or unsure", right, *manyTakes)
	require.GreaterOrEqual(t, float64(right), 0.95*float64(*manyTakes))
}
