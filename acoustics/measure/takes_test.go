package measure

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/decay"
	"afterchord/acoustics/impulse"
)

// clapping is a recording of claps as it is made in life.
type clapping struct {
	rt       float64 // s, of the room
	takes    int
	near     float64 // energy of the direct sound re the room's answer, dB
	noise    float64 // level of the noise re the loudest part of the answer, dB
	phone    bool    // the response of a small microphone
	gain     bool    // automatic gain
	gate     bool    // noise suppression
	clip     bool
	centreHz float64 // of the clap
	seed     uint64
}

const clapRate = 16000

// record makes the recording: each clap is a short burst of noise about centreHz, the room a noise that decays by rt.
func (c clapping) record() *impulse.Response {
	rng := rand.New(rand.NewPCG(c.seed, 11))
	gapS := math.Min(1.1*c.rt+0.7, 6)
	n := int((0.8 + float64(c.takes)*gapS) * clapRate)
	x := make([]float64, n)
	k := decay.Rate(c.rt) / 2 / clapRate
	for t := range c.takes {
		at := int((0.6 + float64(t)*gapS) * clapRate)
		amplitude := math.Pow(10, (rng.Float64()-0.5)*6/20)
		// a resonance about centreHz colours clap and answer
		w := 2 * math.Pi * c.centreHz / clapRate
		r := 0.75
		var y1, y2 float64
		direct := math.Pow(10, c.near/20) * math.Sqrt(1/(2*k)) / 6
		for i := at; i < n; i++ {
			in := math.Exp(-k*float64(i-at)) * rng.NormFloat64()
			if i-at < 40 {
				in += direct * math.Exp(-float64(i-at)/12) * rng.NormFloat64()
			}
			y := in + 2*r*math.Cos(w)*y1 - r*r*y2
			y2, y1 = y1, y
			x[i] += amplitude * (0.5*y + 0.5*in)
		}
	}
	level := math.Pow(10, c.noise/20) * 2
	for i := range x {
		x[i] += level * rng.NormFloat64()
	}
	if c.phone { // a high-pass at 150 Hz and a low-pass at 6 kHz, first order each
		hp, lp, last := 0.0, 0.0, 0.0
		a, b := math.Exp(-2*math.Pi*150/clapRate), 1-math.Exp(-2*math.Pi*6000/clapRate)
		for i, v := range x {
			hp = a * (hp + v - last)
			last = v
			lp += b * (hp - lp)
			x[i] = lp
		}
	}
	peak := 0.0
	for _, v := range x {
		peak = math.Max(peak, math.Abs(v))
	}
	scale := 0.8 / peak
	if c.clip {
		scale = 4 / peak
	}
	if c.gain { // fast down, slowly back over some seconds
		g, env := 1.0, 0.0
		for i, v := range x {
			env = math.Max(math.Abs(v)*scale, env*math.Exp(-1.0/(0.05*clapRate)))
			want := math.Min(1, 0.05/math.Max(env, 1e-9))
			if want < g {
				g += (want - g) * 0.02
			} else {
				g += (want - g) / (0.8 * clapRate)
			}
			x[i] = v * g
		}
	}
	if c.gate {
		env := 0.0
		for i, v := range x {
			env = math.Max(math.Abs(v)*scale, env*math.Exp(-1.0/(0.02*clapRate)))
			if env < 0.02 {
				x[i] = 0
			}
		}
	}
	for i := range x {
		x[i] = math.Max(-1, math.Min(1, x[i]*scale))
	}
	return &impulse.Response{Rate: clapRate, L: x, R: x}
}

// T at 500 Hz and 1 kHz within 10 % of the room's or said to be unsure, in 95 of 100 of claps as in life; and sure of most that are
// clean. The truth is the decay that the recordings are made with.
func TestClapsAgainstTheTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 7))
	all, good, clean, sure := 0, 0, 0, 0
	cases := 6
	if os.Getenv("AFTERCHORD_LONG") != "" {
		cases = 100
	}
	for n := range cases {
		c := clapping{rt: 1 + 7*rng.Float64(), takes: 1 + rng.IntN(4), near: -10 + 30*rng.Float64(), noise: -65 + 35*rng.Float64(), phone: rng.IntN(2) == 0,
			gain: rng.IntN(4) == 0, gate: rng.IntN(7) == 0, clip: rng.IntN(8) == 0, centreHz: 500 + 2500*rng.Float64(), seed: uint64(n)}
		j, err := Takes([]*impulse.Response{c.record()})
		for _, b := range []int{4, 5} {
			all++
			if err != nil {
				good++
				continue
			}
			f := j.Result.Bands[b].RT()
			if !f.Reliable || math.Abs(f.Value/c.rt-1) <= 0.1 {
				good++
			} else {
				t.Logf("%.2f s for %.2f s in band %d: %+v", f.Value, c.rt, b, c)
			}
			if !c.gain && !c.gate && !c.clip && c.noise < -50 {
				clean++
				if f.Reliable && math.Abs(f.Value/c.rt-1) <= 0.1 {
					sure++
				}
			}
		}
	}
	t.Logf("%d of %d right or unsure; %d of %d clean ones sure and right", good, all, sure, clean)
	require.GreaterOrEqual(t, float64(good), 0.95*float64(all))
	require.GreaterOrEqual(t, float64(sure), 0.75*float64(clean))
}

// Several claps in one file are measured one by one: two claps in a church of 4 s give 4 s.
func TestSeveralBurstsInOneRecording(t *testing.T) {
	for takes := 1; takes <= 2; takes++ {
		t.Run(fmt.Sprint(takes), func(t *testing.T) {
			c := clapping{rt: 3, takes: takes, near: -5, noise: -62, centreHz: 1500, seed: 3}
			j, err := Takes([]*impulse.Response{c.record()})
			require.NoError(t, err)
			require.Len(t, j.Takes, takes)
			require.InDelta(t, 3, j.Result.Bands[5].RT().Value, 0.3)
			if takes > 1 {
				require.Contains(t, j.Cautions, "measured from 2 of 2 claps or bursts, which differ by 2 % (standard deviation)")
			}
		})
	}
}

// What a recorder or the place does to a clap is said.
func TestTroubleIsSaid(t *testing.T) {
	base := clapping{rt: 3.5, takes: 3, near: -5, noise: -58, centreHz: 1200, seed: 9}
	for name, c := range map[string]struct {
		change func(*clapping)
		says   string
	}{
		"gate":  {func(c *clapping) { c.gate = true }, "gate"},
		"gain":  {func(c *clapping) { c.gain = true }, "automatic gain"},
		"clip":  {func(c *clapping) { c.clip = true }, "clipped"},
		"near":  {func(c *clapping) { c.near = 22 }, "too near"},
		"noise": {func(c *clapping) { c.noise = -18 }, "noisy"},
	} {
		t.Run(name, func(t *testing.T) {
			x := base
			c.change(&x)
			j, err := Takes([]*impulse.Response{x.record()})
			require.NoError(t, err)
			require.Contains(t, fmt.Sprint(j.Cautions), c.says)
			if f := j.Result.Bands[5].RT(); f.Reliable {
				require.InDelta(t, 3.5, f.Value, 0.35)
			}
		})
	}
}

// No figure is printed that has no meaning.
func TestNoFigureWithoutMeaning(t *testing.T) {
	for name, x := range map[string][]float64{"one sample": click(0), "with silence": click(8000)} {
		t.Run(name, func(t *testing.T) {
			m, err := Channel(x, 16000)
			require.NoError(t, err)
			for _, band := range m.Bands {
				for _, f := range []Figure{band.EDT, band.T20, band.T30} {
					require.True(t, math.IsNaN(f.Value) || f.Value < longestDecay, "%+v", f)
				}
				require.True(t, math.IsNaN(band.C80.Value) || math.Abs(band.C80.Value) <= mostClarity, "%+v", band.C80)
			}
		})
	}
}

func click(at int) []float64 {
	x := make([]float64, 32000)
	x[at] = 1
	return x
}
