package response

import (
	"math"
	"math/rand/v2"
	"slices"

	"afterchord/acoustics/decay"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/parallel"
	"afterchord/acoustics/room"
)

const (
	tailDepthDB   = 85.0   // the tail is carried on to so far below its start
	tailCrossover = 1. / 8 // octaves; narrow, so that each band keeps its own time
	lowestTail    = 8.0    // Hz
)

// Late is the dense tail from the organ's middle to seat at rate (Hz), shared by all divisions:
// seeded noise, independent left and right, that decays in each octave band as
// [room.Room.Path] says and fades in over the mixing time. Sample 0 is the moment the source sounds.
// For a measured room it is what follows the first 80 ms.
func Late(r *room.Room, seat room.Seat, rate int) *impulse.Response {
	return lateBy(r, seat, rate, nil)
}

// late is Late with the spectra of its two channels mixed by mix, where there is one.
func lateBy(r *room.Room, seat room.Seat, rate int, mix func(left, right []tailSpectrum)) *impulse.Response {
	path := latePath(r, seat)
	if r.Measured != nil {
		return measuredPart(r, path.DelayS, rate, false)
	}
	mixing := mixingTime(r)
	var length [octave.N]int
	for b := range path.Tail {
		var longest float64
		for _, t := range path.Tail[b] {
			longest = max(longest, tailDepthDB/10*math.Ln10/t.Rate)
		}
		length[b] = int((path.DelayS + mixing + longest) * float64(rate))
	}
	var spectra [2][]tailSpectrum
	out := &impulse.Response{Rate: rate}
	parallel.Do(0, 2, func(ch int) { spectra[ch] = tail(r, path, mixing, length, rate, uint64(ch)) })
	if mix != nil {
		mix(spectra[0], spectra[1])
	}
	parallel.Do(0, 2, func(ch int) {
		*[]*[]float64{&out.L, &out.R}[ch] = tailSound(spectra[ch], slices.Max(length[:]), int(path.DelayS*float64(rate)), rate)
	})
	return out
}

// tailSpectrum is the bands of a tail that have one length: the coefficients of a transform of n points.
type tailSpectrum struct {
	n            int
	coefficients []complex128
}

// tailSound is the sound of spectra, whole samples long, silent before sample direct.
func tailSound(spectra []tailSpectrum, whole, direct, rate int) []float64 {
	y := make([]float64, whole)
	for _, s := range spectra {
		part := fft.NewReal(s.n).Sequence(nil, s.coefficients)
		part = part[:min(s.n, whole)]
		fadeOut(part, rate/20) // the end comes to rest
		for i, v := range part {
			y[i] += v / float64(s.n)
		}
	}
	// Nothing may sound before the direct sound.
	clear(y[:min(direct, len(y))])
	return y
}

// correctBelow is the longest reverberation time, s, for which the tail is measured and corrected: in a
// shorter one the noise of a low band has too few periods to decay evenly by itself.
const correctBelow = 3.0

// carrier is one band's evened noise before its envelope, at a reduced rate.
type carrier struct {
	band  int
	n     int // samples of the band's tail at the full rate
	noise []float64
	fft   *fft.Real
	step  int
	width float64 // Hz, of the squared weight
}

// tail makes the spectra of one channel, as long as the longest of length (samples, for each band): per octave band noise
// of flat spectrum at a reduced rate, evened out over short windows so that its decay is the asked one, under
// the band's envelope; the bands of one length are joined in the frequency domain, as in the treble the air
// makes the tail much shorter than in the bass. A short tail is measured in each octave band and its rates
// and gains are corrected by what came out.
func tail(r *room.Room, path room.Path, mixing float64, length [octave.N]int, rate int, channel uint64) []tailSpectrum {
	n := fft.Length(slices.Max(length[:]))
	longest := 0.0
	for b := range path.Tail {
		longest = max(longest, decay.Nepers/path.Tail[b][0].Rate)
	}
	short := longest <= correctBelow
	var bands []carrier
	for b := range octave.N {
		own := n
		if !short {
			own = fft.Length(length[b])
		}
		c, ok := newCarrier(r, path, b, own, rate, channel)
		if !ok {
			break
		}
		if b == 0 {
			c.flip(path, mixing, rate)
		}
		bands = append(bands, c)
	}
	if short {
		path = corrected(bands, path, mixing, n, rate)
	}
	if !short {
		path = unmixed(path)
	}
	var out []tailSpectrum
	for m := n; m >= fft.Length(0); m /= 2 {
		var group []carrier
		for _, c := range bands {
			if c.n == m {
				group = append(group, c)
			}
		}
		if len(group) == 0 {
			continue
		}
		sum := make([]complex128, m/2+1)
		joinBands(sum, group, path, mixing, rate)
		out = append(out, tailSpectrum{m, sum})
	}
	return out
}

// corrected is the path to ask for so that path comes out of the bands, all of n samples.
func corrected(bands []carrier, path room.Path, mixing float64, n, rate int) room.Path {
	asked := path
	sum := make([]complex128, n/2+1)
	for range 3 {
		clear(sum)
		joinBands(sum, bands, asked, mixing, rate)
		for b, fix := range tailErrors(sum, path, len(bands), mixing, n, rate) {
			terms := append([]room.Term(nil), asked.Tail[b]...)
			for i := range terms {
				if len(terms) == 1 {
					terms[i].Rate *= fix.rate
				}
				terms[i].Gain *= fix.gain
			}
			asked.Tail[b] = terms
		}
	}
	return asked
}

// newCarrier makes the noise of band b; ok is false above the Nyquist frequency.
func newCarrier(r *room.Room, path room.Path, b, n, rate int, channel uint64) (c carrier, ok bool) {
	c.band, c.n = b, n
	df := float64(rate) / float64(n)
	hi := octave.Exact(b) * math.Pow(2, 0.5+tailCrossover/2)
	lo := octave.Exact(b) * math.Pow(2, -0.5-tailCrossover/2)
	if b == 0 {
		lo = lowestTail
	}
	if b == octave.N-1 {
		hi = float64(rate) / 2
	}
	if lo >= float64(rate)/2 {
		return c, false
	}
	// The shortest transform that holds the band, with room for the spread by the envelope.
	c.step = 1
	for n%(2*c.step) == 0 && float64(rate)/float64(2*c.step) > 2.5*hi && c.step < 256 {
		c.step *= 2
	}
	m := n / c.step
	c.fft = fft.NewReal(m)
	rng := rand.New(rand.NewPCG(uint64(r.Seed), channel<<8|uint64(b)))
	spec := make([]complex128, m/2+1)
	flatFrom, flatTo := octave.FlatRange(b, tailCrossover)
	for k := int(lo / df); k < len(spec)-1 && float64(k)*df <= hi; k++ {
		w := 1.0
		if hz := float64(k) * df; hz < flatFrom || hz > flatTo {
			w = octave.Weight(b, hz, tailCrossover)
		}
		if w > 0 && float64(k)*df >= lowestTail {
			sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
			spec[k] = complex(w*cos, w*sin)
		}
	}
	c.noise = c.fft.Sequence(nil, spec)
	shortest := math.Inf(1)
	for _, t := range path.Tail[b] {
		shortest = min(shortest, decay.Nepers/t.Rate)
	}
	evenOut(c.noise, int(float64(rate)/float64(c.step)*max(2/(min(hi, float64(rate)/2)-lo), shortest/12)))
	c.width = effectiveBandwidth(b, lo, hi, rate)
	return c, true
}

// flip inverts the band if it would add constructively to the direct sound. Its few modes could otherwise
// exceed the target energy; the reflections make up any shortfall.
func (c *carrier) flip(path room.Path, mixing float64, rate int) {
	x := append([]float64(nil), c.noise...)
	envelope(x, path, c.band, mixing, float64(rate)/float64(c.step), 1)
	along, w := 0.0, 2*math.Pi*path.DelayS*float64(rate)/float64(c.n)
	for k, v := range c.fft.Coefficients(nil, x) {
		sin, cos := math.Sincos(w * float64(k))
		along += real(v)*cos - imag(v)*sin
	}
	if along > 0 {
		for i := range c.noise {
			c.noise[i] = -c.noise[i]
		}
	}
}

// joinBands puts each band under its envelope and adds its spectrum to sum.
func joinBands(sum []complex128, bands []carrier, path room.Path, mixing float64, rate int) {
	for _, c := range bands {
		x := append([]float64(nil), c.noise...)
		// A transfer of density |H|² = Gain over the band's width B has 2·Gain·B/rate in all samples
		// together, spread over time as Rate·exp(−Rate·t)/rate.
		envelope(x, path, c.band, mixing, float64(rate)/float64(c.step), 2*c.width/(float64(rate)*float64(rate)))
		g := complex(float64(c.step), 0)
		spec := c.fft.Coefficients(nil, x)
		// A spectrum cut at the reduced Nyquist frequency would ring on there; it is led to zero.
		if edge := len(spec) * 9 / 10; c.step > 1 {
			for k := edge; k < len(spec); k++ {
				u := float64(k-edge) / float64(len(spec)-1-edge)
				spec[k] *= complex(0.5+0.5*math.Cos(math.Pi*u), 0)
			}
		}
		for k, v := range spec[:min(len(spec), len(sum))] {
			sum[k] += v * g
		}
	}
}

// bandFix is what a band's rate and gain have to be multiplied by.
type bandFix struct{ rate, gain float64 }

// tailErrors measures each octave band of a tail, between -5 and -35 dB
// of its decay, against the path that was asked for.
func tailErrors(sum []complex128, path room.Path, bands int, mixing float64, n, rate int) []bandFix {
	out := make([]bandFix, bands)
	energy := impulse.MeanPower(sum, n, rate)
	for b := range out {
		var want float64
		for _, t := range path.Tail[b] {
			want += t.Gain * lateShare(t.Rate, mixing)
		}
		out[b] = bandFix{1, 1}
		if energy[b] > 0 {
			out[b].gain = want / energy[b]
		}
		if b == octave.N-1 || octave.Exact(b)*3 > float64(rate)/2 {
			continue
		}
		step := 1
		for n%(2*step) == 0 && float64(rate)/float64(2*step) > 4*octave.Exact(b) {
			step *= 2
		}
		m := n / step
		spec := make([]complex128, m/2+1)
		for k := range spec {
			spec[k] = sum[k] * complex(octave.Gain(b, float64(k)*float64(rate)/float64(n)), 0)
		}
		x := fft.NewReal(m).Sequence(nil, spec)
		// The filter's lead wraps round to the end, which the decay has left by then.
		x = x[:m*3/4]
		var rest float64
		for i := len(x) - 1; i >= 0; i-- {
			rest += x[i] * x[i]
			x[i] = rest
		}
		fs := float64(rate) / float64(step)
		start := min(len(x)-1, int(fs*path.DelayS))
		x = x[start:]
		ideal := make([]float64, len(x))
		for i := range ideal {
			ideal[i] = 1
		}
		here := path
		here.DelayS = 0
		envelope(ideal, here, b, mixing, fs, 1)
		rest = 0
		for i := len(ideal) - 1; i >= 0; i-- {
			rest += ideal[i] * ideal[i]
			ideal[i] = rest
		}
		got, wanted := measure.DecayTime(x, 1, -5, -35), measure.DecayTime(ideal, 1, -5, -35)
		if f := got / wanted; f > 0 {
			out[b].rate = min(1.2, max(0.8, f))
		}
	}
	return out
}

// effectiveBandwidth is the integral of the squared band weight, Hz.
func effectiveBandwidth(b int, lo, hi float64, rate int) float64 {
	const steps = 4000
	hi = min(hi, float64(rate)/2)
	h := (hi - lo) / steps
	var sum float64
	for i := range steps {
		w := octave.Weight(b, lo+(float64(i)+0.5)*h, tailCrossover)
		sum += w * w * h
	}
	return sum
}

// evenOut divides x by its root mean square over a window of samples, centred, so
// that what is left has mean square 1 in every stretch of that length. The
// divisor is found at every 32nd part of the window and runs straight between.
func evenOut(x []float64, window int) {
	n := len(x)
	window = max(1, min(window, n-1))
	grid := max(1, window/32)
	cum := make([]float64, n+1)
	gain := func(i int) float64 {
		a, z := max(0, i-window/2), min(n, i+window-window/2)
		if mean := (cum[z] - cum[a]) / float64(z-a); mean > 0 {
			return 1 / math.Sqrt(mean)
		}
		return 1
	}
	for range 3 {
		sum := 0.0
		for i, v := range x {
			sum += v * v
			cum[i+1] = sum
		}
		g := gain(0)
		for at := 0; at < n; at += grid {
			next := gain(min(n-1, at+grid))
			step := (next - g) / float64(grid)
			part := x[at:min(n, at+grid)]
			for i := range part {
				part[i] *= g + step*float64(i)
			}
			g = next
		}
	}
}

// envelope puts the decay of band b on noise of mean square 1 at rate fs: mean square
// Σ Gain·Rate·exp(−Rate·t)·density from the path's delay on, faded in over the mixing time.
func envelope(x []float64, path room.Path, b int, mixing, fs, density float64) {
	start := path.DelayS * fs
	first := int(math.Ceil(start))
	clear(x[:min(first, len(x))])
	type step struct{ power, factor float64 }
	var terms [4]step
	used := terms[:0]
	for _, t := range path.Tail[b] {
		p := t.Gain * t.Rate * density
		used = append(used, step{p * math.Exp(-t.Rate*(float64(first)-start)/fs), math.Exp(-t.Rate / fs)})
	}
	if len(used) == 1 { // no square roots once the fade is over
		over := min(len(x), max(first, int(math.Ceil(start+mixing*fs))))
		g := math.Sqrt(used[0].power * math.Pow(used[0].factor, float64(over-first)))
		f := math.Sqrt(used[0].factor)
		for i := over; i < len(x); i++ {
			x[i] *= g
			g *= f
		}
		x = x[:over]
	}
	for i := first; i < len(x); i++ {
		var power float64
		for j := range used {
			power += used[j].power
			used[j].power *= used[j].factor
		}
		if u := (float64(i) - start) / fs / mixing; u < 1 {
			power *= diffuseShare(u)
		}
		x[i] *= math.Sqrt(power)
	}
}
