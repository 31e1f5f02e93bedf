package sound

import (
	"math"
	"math/rand/v2"

	"afterchord/acoustics/octave"
)

// windLength is the period of the wind noise, samples; a division starts elsewhere in it
// than its neighbour.
const windLength = 1 << 17

// windTables holds noise of mean square 1 in each octave band, made when first wanted. The wind of all the
// speaking pipes of a division is one noise per band, of the sum of their powers.
type windTables [octave.N][]float32

func (w *windTables) ensure(band, rate int) {
	if w[band] != nil {
		return
	}
	w[band] = make([]float32, windLength)
	hz := octave.Centres[band]
	if hz > highestPartial*float64(rate) { // the band lies beyond the rate
		return
	}
	random := rand.New(rand.NewPCG(uint64(band), 0x71d))
	buf := scratch.Get().(*buffers)
	defer scratch.Put(buf)
	noise, out := sized(&buf.part, windLength), sized(&buf.loop, windLength)
	for i := 0; i < windLength; i += 4 {
		for u, k := random.Uint64(), i; k < i+4; k++ {
			noise[k] = float64(int16(u))
			u >>= 16
		}
	}
	// A resonance an octave wide, run round once before so that end and beginning meet.
	const q = math.Sqrt2
	filter := newBandPass(hz, q, rate)
	filter.x2, filter.x1 = noise[windLength-2], noise[windLength-1]
	total := 0.0
	for range 2 {
		total = 0
		for i, x := range noise {
			y := filter.next(x)
			out[i] = y
			total += y * y
		}
	}
	scale := math.Sqrt(windLength / total)
	for i, v := range out {
		w[band][i] = float32(v * scale)
	}
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
