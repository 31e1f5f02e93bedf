package response

import (
	"context"
	"math"
	"math/rand/v2"
	"slices"

	"afterchord/acoustics/air"
	"afterchord/acoustics/decay"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/parallel"
	"afterchord/acoustics/room"
)

const (
	earlyS        = 0.080  // where clarity divides early from late, s after the direct sound (ISO 3382-1, C80)
	tailDepthDB   = 85.0   // the tail is carried on to so far below its start
	tailCrossover = 1. / 8 // octaves; narrow, so that each band keeps its own time
	lowestTail    = 8.0    // Hz
)

// Late is the dense tail from the organ's middle to seat at rate (Hz), shared by all divisions:
// seeded noise, left and right as coherent as the stereo pair hears a diffuse field, that decays in each octave band as
// [room.Room.Path] says and fades in over the mixing time. Sample 0 is the moment the source sounds.
// For a measured room it is what follows the first 80 ms. It takes a while and asks ctx, band by band, whether anybody still wants it;
// where nobody does, it gives the error of ctx.
func Late(ctx context.Context, r *room.Room, seat room.Seat, rate int) (*Tail, error) {
	return lateBy(ctx, r, seat, rate, betweenPair(air.SpeedOfSound(r.TempC)))
}

// lateBy is Late with another coherence of its two channels.
func lateBy(ctx context.Context, r *room.Room, seat room.Seat, rate int, between coherenceAt) (*Tail, error) {
	path := latePath(r, seat)
	if r.Measured != nil {
		return allThere(measuredPart(r, path.DelayS, rate, false)), ctx.Err()
	}
	shape := newTailShape(path, mixingTime(r, path))
	var length [octave.N]int
	for b := range length {
		lo, hi := tailEdges(b, rate)
		depth := tailDepthDB / 10 * math.Ln10 / shape.slowest(lo, hi)
		length[b] = int((path.DelayS + shape.mixing + depth) * float64(rate))
	}
	samples := slices.Max(length[:])
	var whole [2][]tailSpectrum // of the channels: what the beginning leaves to the remainder
	build := func(ctx context.Context, p portion, samples int) (*impulse.Response, error) {
		out := &impulse.Response{Rate: rate}
		parallel.Do(0, 2, func(ch int) {
			var space tailSpace
			spectra := tail(ctx, r, *shape, length, p, rate, ch, between, &space)
			if ctx.Err() != nil {
				return
			}
			switch p {
			case beginning:
				for i := range spectra {
					if spectra[i].n > begunOver {
						spectra[i].until = Begun
						whole[ch] = append(whole[ch], tailSpectrum{n: spectra[i].n, coefficients: spectra[i].coefficients, from: Begun})
					}
				}
			case remainder:
				spectra = append(spectra, whole[ch]...)
			}
			*[]*[]float64{&out.L, &out.R}[ch] = tailSound(spectra, samples, int((path.DelayS-p.from(rate))*float64(rate)), rate, &space)
		})
		return out, ctx.Err()
	}
	if shape.short() || samples <= begunOver {
		all, err := build(ctx, entire, samples)
		return allThere(all), err
	}
	begun, err := build(ctx, beginning, begunOver)
	rest := func(ctx context.Context) (*impulse.Response, error) { return build(ctx, remainder, samples-Begun) }
	return &Tail{begun: begun, samples: samples, rest: rest}, err
}

// tailEdges is where an octave of the tail begins and ends at rate, Hz; the last reaches to the Nyquist frequency.
func tailEdges(band, rate int) (lo, hi float64) {
	lo, hi = octave.Exact(band)*math.Exp2(-0.5-tailCrossover/2), octave.Exact(band)*math.Exp2(0.5+tailCrossover/2)
	if band == 0 {
		lo = lowestTail
	}
	if band == octave.N-1 {
		hi = float64(rate) / 2
	}
	return lo, hi
}

// tailSpectrum is the bands of a tail that have one length: the coefficients of a transform of n points, from 0 to the last that is not zero.
// Of their sound the samples from from until until are wanted; until the end where until is 0.
type tailSpectrum struct {
	n            int
	coefficients []complex128
	from, until  int
}

// tailSound is the sound of spectra, whole samples long, silent before sample direct.
func tailSound(spectra []tailSpectrum, whole, direct, rate int, space *tailSpace) []float64 {
	y := make([]float64, whole)
	for _, s := range spectra {
		// What ends low in the spectrum is transformed at as low a rate.
		step := 1
		for float64(len(s.coefficients)) <= impulse.UpsampleBand*float64(s.n/(2*step)) {
			step *= 2
		}
		if step < 4 {
			step = 1
		}
		n := s.n / step
		lines := s.coefficients
		if len(lines) < n/2+1 {
			lines = sized(&space.lines, n/2+1)
			clear(lines[copy(lines, s.coefficients):])
		}
		part := fft.NewReal(n).Sequence(sized(&space.noise, n), lines)
		size := min(s.n, s.from+whole)
		if s.until > 0 {
			size = min(size, s.until)
		}
		if step > 1 {
			slow := part
			part = sized(&space.envelope, size)
			impulse.Upsample(part, slow, step)
		}
		part = part[s.from:size]
		if s.until == 0 {
			fadeOut(part, rate/20) // the end comes to rest
		}
		for i, v := range part {
			y[i] += v / float64(s.n)
		}
	}
	// Nothing may sound before the direct sound.
	clear(y[:min(max(direct, 0), len(y))])
	return y
}

// correctBelow is the longest reverberation time, s, for which the tail is measured and corrected: in a
// shorter one the noise of a low band has too few periods to decay evenly by itself.
const correctBelow = 3.0

// carrier is the evened noise of one octave before its envelopes.
type carrier struct {
	lo, hi   float64 // Hz
	n        int     // samples of the band's tail at the full rate
	step     int     // how many of them to one of the noise
	spectrum []complex128
	width    float64 // Hz, of the squared weight
}

// short says whether the tail is measured and corrected.
func (s *tailShape) short() bool {
	longest := 0.0
	for b := range s.path.Tail {
		longest = max(longest, decay.Nepers/s.path.Tail[b][0].Rate)
	}
	return longest <= correctBelow
}

// tail makes the spectra of a portion of one channel, of a tail that has length samples in each octave: per octave band noise
// of flat spectrum at a reduced rate, evened out over short windows so that its decay is the asked one, under
// the envelope of each frequency; the octaves of one length are joined in the frequency domain, as in the treble the air
// makes the tail much shorter than in the bass. A short tail is measured in each octave band and its rates
// and gains are corrected by what came out. What it gives once ctx is over is of no use.
func tail(ctx context.Context, r *room.Room, shape tailShape, length [octave.N]int, p portion, rate, channel int, between coherenceAt, space *tailSpace) []tailSpectrum {
	n := fft.Length(p.longest(length))
	short := shape.short()
	bands := make([]carrier, 0, octave.N) // of a short tail; of a long one each is joined at once, and leaves its space to the next
	sums := map[int][]complex128{}
	join := func(c *carrier) {
		parts := c.parts(&shape, rate)
		if wanted := reach(parts, c.n); len(sums[c.n]) < wanted {
			sums[c.n] = append(sums[c.n], make([]complex128, wanted-len(sums[c.n]))...)
		}
		c.join(sums[c.n], parts, &shape, rate, &space.short)
	}
	for b := octave.N - 1; b >= 0 && ctx.Err() == nil; b-- { // the highest first: it takes the most space
		own := n
		if short {
			space.lines = nil
		} else {
			samples := p.of(b, length[b])
			if samples == 0 {
				continue
			}
			own = fft.Length(samples)
			shape.window = p.window(b, length[b], rate)
		}
		c, ok := newCarrier(r, &shape, b, own, rate, channel, between, space)
		switch {
		case !ok:
		case short:
			bands = append(bands, c)
		default:
			join(&c)
		}
	}
	slices.Reverse(bands)
	if short && ctx.Err() == nil {
		shape.correct(ctx, bands, n, rate, &space.short)
		for i := range bands {
			join(&bands[i])
		}
	}
	var out []tailSpectrum
	for m := n; m >= fft.Length(0); m /= 2 {
		if sums[m] != nil {
			out = append(out, tailSpectrum{n: m, coefficients: sums[m]})
		}
	}
	return out
}

// tailSpace is what the making of one band leaves to the next: fresh memory costs as much as a transform.
type tailSpace struct {
	lines                   []complex128
	noise, energy, envelope []float64
	short                   shortTransform
}

// sized is n values in the space of *b, whatever is in them.
func sized[T any](b *[]T, n int) []T {
	if cap(*b) < n {
		*b = make([]T, n)
	}
	return (*b)[:n]
}

// correct finds what to ask for so that the path comes out of the bands, all of n samples.
func (s *tailShape) correct(ctx context.Context, bands []carrier, n, rate int, space *shortTransform) {
	sum := make([]complex128, n/2+1)
	for range 3 {
		clear(sum)
		for _, c := range bands {
			if ctx.Err() != nil {
				return
			}
			c.join(sum, c.parts(s, rate), s, rate, space)
		}
		for b, fix := range s.errors(sum, len(bands), n, rate) {
			s.fix[b].rate *= fix.rate
			s.fix[b].gain *= fix.gain
		}
	}
}

// newCarrier makes the noise of band b in a channel; ok is false above the Nyquist frequency. Each line of the right channel's spectrum
// is as strong as the left's and leads or lags it by the angle whose cosine is their coherence.
func newCarrier(r *room.Room, shape *tailShape, b, n, rate, channel int, between coherenceAt, space *tailSpace) (c carrier, ok bool) {
	c.n = n
	df := float64(rate) / float64(n)
	c.lo, c.hi = tailEdges(b, rate)
	if c.lo >= float64(rate)/2 {
		return c, false
	}
	// The shortest transform that holds the band.
	c.step = 1
	for n%(2*c.step) == 0 && float64(rate)/float64(2*c.step) > 2.5*c.hi && c.step < 256 {
		c.step *= 2
	}
	m := n / c.step
	transform := fft.NewReal(m)
	lines := randomLines(sized(&space.lines, m/2+1), r.Seed, shape.window.stream(b), b, channel, df, c.lo, c.hi, between)
	noise := transform.Sequence(sized(&space.noise, m), lines)
	quickest := 0.0
	for _, t := range shape.path.Tail[b] {
		quickest = max(quickest, t.Rate)
	}
	window := int(float64(rate) / float64(c.step) * max(2/(c.hi-c.lo), decay.Nepers/quickest/12))
	evenOut(noise, window, &space.energy)
	c.width = effectiveBandwidth(b, c.lo, c.hi)
	shape.level(noise, sized(&space.envelope, m), b, rate, c.step)
	if b <= 1 {
		// Both channels or none, so that they keep their coherence.
		other := transform.Sequence(nil, randomLines(lines, r.Seed, shape.window.stream(b), b, 1-channel, df, c.lo, c.hi, between))
		evenOut(other, window, &space.energy)
		if along(noise, b, shape, rate, c.step)+along(other, b, shape, rate, c.step) > 0 {
			for i := range noise {
				noise[i] = -noise[i]
			}
		}
	}
	c.spectrum = transform.Coefficients(lines, noise)
	return c, true
}

// randomLines puts into spec the spectrum of band b's noise in a channel, of lines df Hz apart; seed and stream say by which chance.
func randomLines(spec []complex128, seed int64, stream uint64, b, channel int, df, lo, hi float64, between coherenceAt) []complex128 {
	rng, side := rand.New(rand.NewPCG(uint64(seed), stream)), rand.New(rand.NewPCG(uint64(seed), 1<<8|stream))
	clear(spec)
	flatFrom, flatTo := octave.FlatRange(b, tailCrossover)
	for k := int(lo / df); k < len(spec)-1 && float64(k)*df <= hi; k++ {
		w, hz := 1.0, float64(k)*df
		if hz < flatFrom || hz > flatTo {
			w = octave.Weight(b, hz, tailCrossover)
		}
		if w > 0 && hz >= lowestTail {
			sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
			if channel == 1 { // turned by the angle whose cosine is the coherence
				c := between(hz)
				if c > 1 { // the built-in minimum is a call where the compiler knows no instruction
					c = 1
				} else if c < -1 {
					c = -1
				}
				s := math.Copysign(math.Sqrt(1-float64(c*c)), side.Float64()-0.5)
				sin, cos = float64(sin*c)+float64(cos*s), float64(cos*c)-float64(sin*s)
			}
			spec[k] = complex(w*cos, w*sin)
		}
	}
	return spec
}

// level gives the noise of band b the energy that its envelope promises, in the early part and after it: few periods of a low
// band lie in either, so that chance would have its part in them. envelope is space for as many samples.
func (s *tailShape) level(noise, envelope []float64, b, rate, step int) {
	fs := float64(rate) / float64(step)
	s.envelope(envelope, s.at(octave.Exact(b)), fs, 1)
	cut := min(len(noise), max(0, int((s.path.DelayS+earlyS-s.window.from)*fs)))
	gain := func(from, to int) float64 {
		var got, want float64
		for i := from; i < to; i++ {
			e := envelope[i] * envelope[i]
			want += e
			got += e * noise[i] * noise[i]
		}
		if got <= 0 {
			return 1
		}
		return math.Sqrt(want / got)
	}
	early, late := gain(0, cut), gain(cut, len(noise))
	if b == 0 {
		early = late // two periods and a half are too few to say
	}
	lead := max(1, int(0.02*fs)) // from one to the other
	from := max(0, cut-lead)
	for i := range noise[:from] {
		noise[i] *= early
	}
	for i := from; i < cut; i++ {
		u := float64(i-cut+lead) / float64(lead)
		noise[i] *= early + u*(late-early)
	}
	for i := cut; i < len(noise); i++ {
		noise[i] *= early + (late - early)
	}
}

// along is how much a low band would add constructively to the direct sound. Its few modes could
// exceed the target energy; turned over they do not, and the reflections make up any shortfall.
func along(noise []float64, b int, shape *tailShape, rate, step int) (sum float64) {
	x := make([]float64, len(noise))
	shape.envelope(x, shape.at(octave.Exact(b)), float64(rate)/float64(step), 1)
	for i, v := range noise {
		x[i] *= v
	}
	w := 2 * math.Pi * shape.path.DelayS * float64(rate) / float64(len(noise)*step)
	for k, v := range fft.NewReal(len(x)).Coefficients(nil, x) {
		sin, cos := math.Sincos(w * float64(k))
		sum += real(v)*cos - imag(v)*sin
	}
	return sum
}

// shortTransform is the working space of [carrier.join].
type shortTransform struct {
	plan             *fft.Plan[float64]
	order            []int32
	envelope, re, im []float64
	space            []float64
	kept             map[int]*fft.Plan[float64]
	orders           map[int][]int32
}

// resize makes it fit for m points, all 0.
func (s *shortTransform) resize(m int) {
	if s.plan == nil || s.plan.N() != m {
		if s.kept == nil {
			s.kept, s.orders = map[int]*fft.Plan[float64]{}, map[int][]int32{}
		}
		if s.kept[m] == nil {
			s.kept[m] = fft.NewPlan[float64](m)
			s.orders[m] = s.kept[m].Order()
		}
		s.plan, s.order = s.kept[m], s.orders[m]
		const apart = 32 // so that equal places do not meet in the cache
		all := sized(&s.space, 3*(m+apart))
		s.envelope, s.re, s.im = all[:m], all[m+apart:][:m], all[2*(m+apart):][:m]
	}
	clear(s.re)
	clear(s.im)
}

// besides is how far to either side of a band of noise its spectrum under an envelope is kept, Hz.
const besides = 300.0

// bandPart is the part of a band about a knot: from the knot before to the one after, Hz, and between lines a and z of the spectrum, for a
// transform of m points.
type bandPart struct {
	knot
	from, to float64
	a, z, m  int
}

func (p *bandPart) middle() int { return (p.a + p.z) / 2 }

// parts cuts the band at its knots.
func (c *carrier) parts(shape *tailShape, rate int) (out []bandPart) {
	df := float64(rate) / float64(c.n)
	knots := shape.knots(c.lo, c.hi)
	for j, at := range knots {
		p := bandPart{knot: at, from: at.hz, to: at.hz}
		if j > 0 {
			p.from = knots[j-1].hz
		}
		if j+1 < len(knots) {
			p.to = knots[j+1].hz
		}
		p.a, p.z = int(math.Ceil(p.from/df)), min(len(c.spectrum)-1, int(p.to/df))
		if p.z > p.a {
			p.m = min(c.n, fft.PowerOfTwo(p.z-p.a+1+2*int(besides/df)))
			out = append(out, p)
		}
	}
	return out
}

// reach is how many coefficients of a transform of n points the parts take, from 0.
func reach(parts []bandPart, n int) (lines int) {
	for i := range parts {
		lines = max(lines, parts[i].middle()+parts[i].m/2)
	}
	return min(lines, n/2+1)
}

// join puts each frequency of the band under its envelope and adds the spectrum to sum. The noise is cut into
// overlapping parts between knots, in which the amplitude goes straight from one knot's envelope to the next one's; each is
// brought down to frequency 0 for as short a transform as it needs.
func (c *carrier) join(sum []complex128, parts []bandPart, shape *tailShape, rate int, space *shortTransform) {
	df := float64(rate) / float64(c.n)
	// A transfer of density |H|² = Gain over the band's width B has 2·Gain·B/rate in all samples
	// together, spread over time as Rate·exp(−Rate·t)/rate.
	density := 2 * c.width / (float64(rate) * float64(rate))
	for i := range parts {
		at := &parts[i]
		from, to, m := at.from, at.to, at.m
		space.resize(m)
		plan, order, envelope, re, im := space.plan, space.order, space.envelope, space.re, space.im
		middle := at.middle() // which goes to frequency 0
		up, down := math.Log(at.hz/from), math.Log(to/at.hz)
		for k := at.a; k <= at.z; k++ {
			w := 1.0
			switch hz := float64(k) * df; {
			case hz < at.hz:
				w = math.Log(hz/from) / up
			case hz > at.hz:
				w = math.Log(to/hz) / down
			}
			p := order[(k-middle)&(m-1)]
			re[p], im[p] = w*real(c.spectrum[k]), w*imag(c.spectrum[k])
		}
		plan.Up(re, im)
		shape.envelope(envelope, at.terms, float64(rate)*float64(m)/float64(c.n), density)
		scale := float64(c.step) / float64(m)
		for i, e := range envelope {
			e *= scale
			re[i] *= e
			im[i] *= e
		}
		plan.Down(re, im)
		// What the cut at half the short rate would leave to ring on is led to zero.
		edge := m / 2 * 9 / 10
		for i := -m / 2; i < m/2; i++ {
			p := order[i&(m-1)]
			v := complex(re[p], im[p])
			if away := max(i, -i); away > edge && m < c.n {
				v *= complex(0.5+0.5*math.Cos(math.Pi*float64(away-edge)/float64(m/2-edge)), 0)
			}
			switch k := middle + i; {
			case k > 0 && k < len(sum):
				sum[k] += v
			case k < 0 && -k < len(sum): // the other side of the spectrum of a real sound
				sum[-k] += complex(real(v), -imag(v))
			}
		}
	}
}

// lateEnergy is the energy in each octave band of what a tail has left once the early part is over. It is cut first and
// filtered then, as clarity is measured ([measure.Channel]).
func (s *tailShape) lateEnergy(sum []complex128, n, rate int) octave.Bands {
	transform := fft.NewReal(n)
	x := transform.Sequence(nil, sum)
	for i := range x {
		x[i] /= float64(n)
	}
	clear(x[:min(n, int((s.path.DelayS+earlyS)*float64(rate)))])
	return impulse.MeanPower(transform.Coefficients(nil, x), n, rate)
}

// errors measures each octave band of a tail, between -5 and -35 dB
// of its decay, and what is left of it after the early part, against the path that was asked for.
func (s *tailShape) errors(sum []complex128, bands int, n, rate int) (out [octave.N]bandFix) {
	energy := s.lateEnergy(sum, n, rate)
	for b := range out {
		out[b] = bandFix{1, 1}
		if b >= bands {
			continue
		}
		want := s.path.EnergyAfter(b, earlyS)
		if energy[b] > 0 {
			out[b].gain = want / energy[b]
		}
		if b == octave.N-1 || len(s.path.Tail[b]) > 1 || octave.Exact(b)*3 > float64(rate)/2 {
			continue
		}
		step := 1
		for n%(2*step) == 0 && float64(rate)/float64(2*step) > 8*octave.Exact(b) {
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
		x = x[min(len(x)-1, int(fs*s.path.DelayS)):]
		got, wanted := measure.DecayTime(x, 1, -5, -35)/fs, s.path.DiffuseT30(b, func(at float64) float64 { return diffuseShare(at / s.mixing) }, s.mixing)
		if f := got / wanted; f > 0 {
			out[b].rate = min(1.2, max(0.8, f))
		}
	}
	return out
}

// effectiveBandwidth is the integral of the squared band weight, Hz.
func effectiveBandwidth(b int, lo, hi float64) float64 {
	const steps = 250
	from, to := octave.FlatRange(b, tailCrossover)
	from, to = min(hi, max(lo, from)), max(lo, min(hi, to))
	sum := to - from
	for _, flank := range [][2]float64{{lo, from}, {to, hi}} {
		h := (flank[1] - flank[0]) / steps
		for i := range steps {
			w := octave.Weight(b, flank[0]+(float64(i)+0.5)*h, tailCrossover)
			sum += w * w * h
		}
	}
	return sum
}

// evenOut divides x by its root mean square over a window of samples, centred, so
// that what is left has mean square 1 in every stretch of that length. The
// divisor is found at every 32nd part of the window and runs straight between.
func evenOut(x []float64, window int, space *[]float64) {
	n := len(x)
	window = max(1, min(window, n-1))
	grid := max(1, window/32)
	cum := sized(space, n+1)
	cum[0] = 0
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
