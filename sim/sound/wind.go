package sound

import (
	"math"
	"math/rand/v2"
	"sync"

	"afterchord/acoustics/octave"
)

// windLength is the period of the wind noise, samples; a division starts elsewhere in it
// than its neighbour.
const windLength = 1 << 17

// windTables holds noise of mean square 1 in each octave band, nil where it is not wanted yet. The wind of all the
// speaking pipes of a division is one noise per band, of the sum of their powers.
type windTables [octave.N][]float32

func (w *windTables) ensure(band, rate int) {
	if w[band] == nil {
		w[band] = windNoise(band, rate)
	}
}

type windKey struct{ band, rate int }

// windMade keeps the noise for whoever renders next: half a megabyte a band.
var windMade sync.Map // of func() []float32, by windKey

// windNoise is noise of mean square 1 in a band, nobody's to change; 0 where the band lies beyond the rate.
func windNoise(band, rate int) []float32 {
	key := windKey{band, rate}
	made, ok := windMade.Load(key)
	if !ok {
		made, _ = windMade.LoadOrStore(key, sync.OnceValue(func() []float32 { return newWindNoise(band, rate) }))
	}
	return made.(func() []float32)()
}

func newWindNoise(band, rate int) []float32 {
	out := make([]float32, windLength)
	hz := octave.Centres[band]
	if hz > highestPartial*float64(rate) {
		return out
	}
	buf := scratch.Get().(*buffers)
	defer scratch.Put(buf)
	noise := sized(&buf.part, windLength)
	sixteenBits(noise, rand.NewPCG(uint64(band), 0x71d))
	// A resonance an octave wide, which has gone through the end before the beginning so that the two meet: it has forgotten all else
	// by then (a quarter is 47 of its time constants in the lowest band at 48 kHz).
	const q = math.Sqrt2
	filter := newBandPass(hz, q, rate)
	end := sized(&buf.loop, windLength/4)
	copy(end, noise[windLength-len(end):])
	filter.filter(end)
	filter.filter(noise)
	total := 0.0
	for _, y := range noise {
		total += y * y
	}
	scale := math.Sqrt(windLength / total)
	for i, v := range noise {
		out[i] = float32(v * scale)
	}
	return out
}

// windAt adds to power, per octave band, the wind of the voice at sample t.
func (v *voice) windAt(power *octave.Bands, t int64) {
	if t < v.start || t >= v.end || !(v.sound.wind > 0) {
		return
	}
	g := v.sound.risen(t - v.start)
	if t > v.off {
		g = v.held * math.Exp(-float64(t-v.off)/v.sound.release)
	}
	power[v.sound.windBand] += v.sound.wind * g * g
}

// mixWind adds the wind of voices to dst, which begins at the absolute sample at.
func (w *windTables) mixWind(dst []float32, at int64, voices []voice, division int) {
	const step = 4 * grid
	var p0, p1 octave.Bands
	for k := range voices {
		voices[k].windAt(&p1, at)
	}
	for i := 0; i < len(dst); i += step {
		n := min(step, len(dst)-i)
		p0, p1 = p1, octave.Bands{}
		for k := range voices {
			voices[k].windAt(&p1, at+int64(i+n))
		}
		for b := range p0 {
			if p0[b] == 0 && p1[b] == 0 || w[b] == nil {
				continue
			}
			g0, g1 := math.Sqrt(p0[b]), math.Sqrt(p1[b])
			pos := int((at + int64(i) + int64(division)*windLength/11) % windLength)
			m := min(n, windLength-pos)
			d := (g1 - g0) / float64(n)
			ramp(dst[i:i+m], w[b][pos:pos+m], float32(g0), float32(d))
			if m < n {
				ramp(dst[i+m:i+n], w[b][:n-m], float32(g0+d*float64(m)), float32(d))
			}
		}
	}
}
