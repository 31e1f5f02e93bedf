package sound

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/dsp/fourier"

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
	random := rand.New(rand.NewPCG(uint64(band), 0x71d))
	spectrum := make([]complex128, windLength/2+1)
	total := 0.0
	for i := 1; i < len(spectrum)-1; i++ {
		hz := float64(i) * float64(rate) / windLength
		if hz > highestPartial*float64(rate) {
			break
		}
		// A resonance an octave wide, equally strong per hertz about its peak.
		x := hz/octave.Centres[band] - octave.Centres[band]/hz
		a := 1 / math.Sqrt(1+2*x*x)
		s, c := math.Sincos(2 * math.Pi * random.Float64())
		spectrum[i] = complex(a*c, a*s)
		total += 2 * a * a
	}
	noise := fourier.NewFFT(windLength).Sequence(nil, spectrum)
	w[band] = make([]float32, windLength)
	if total == 0 { // the band lies beyond the rate
		return
	}
	for i, v := range noise {
		w[band][i] = float32(v / math.Sqrt(total))
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
	power[octave.Index(v.sound.windHz)] += v.sound.wind * g * g
}

// mixWind adds the wind of voices to dst, which begins at the absolute sample at.
func (w *windTables) mixWind(dst []float32, at int64, voices []voice, division int) {
	const step = 4 * grid
	for i := 0; i < len(dst); i += step {
		var p0, p1 octave.Bands
		n := min(step, len(dst)-i)
		for k := range voices {
			voices[k].windAt(&p0, at+int64(i))
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

func (w *windTables) ensureFor(s *pipeSound, rate int) {
	if s.wind > 0 {
		w.ensure(octave.Index(s.windHz), rate)
	}
}
