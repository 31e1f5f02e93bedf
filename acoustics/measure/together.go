package measure

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/octave"
)

// Where noise leaves less than T20's 35 dB in every single clap, the squared responses of all good claps are averaged before the fit (ensemble averaging: ISO
// 3382-2:2008 and ASTM E2235 allow it beside the mean of the times), the noise's mean square is taken off (Chu, J. Acoust. Soc. Am. 63 (1978) 1444), the backward integral is
// cut where decay and noise meet and completed by the exponential that was cut (Lundeby et al., Acustica 81 (1995) 344; ISO 3382-1:2009, 5.3.3). How sure the time is follows from
// the same reading of simulated decays of the same length, noise and number of claps (a parametric bootstrap; Efron & Tibshirani, An
// Introduction to the Bootstrap, 1993, chapter 6). Clauses and pages are from memory.

// Limits of a time that is read from noisy claps, our own, set on simulated claps.
const (
	skipS       = 0.04 // after the beginning of a clap before its decay is looked at: the direct sound has no part in it, s
	leastPause  = 0.25 // of noise that is long enough to tell its level, s
	mostPause   = 3.0  // s
	noiseDrift  = 2.0  // dB, of the noise before and after the claps: more is no steady noise, or a recorder at work
	noiseUnsure = 0.4  // dB, by which the level of a steady noise is off at least
	twoSigma    = 0.10 // twice the standard deviation of a time that is given, re the time
	mostTail    = 0.2  // logarithm of the energy past the range re what the fitted decay leaves there, beyond which it bends
	mostHalves  = 0.12 // of the second half of the range re the first, beyond which the decay bends
	simulated   = 40   // decays of the bootstrap
	farOver     = 8.0  // dB, of the direct sound over the room's answer: a gain that gives way to it is not seen in so short a range
	toT20       = -25.0
	toT15       = -20.0
)

// heard are the takes that are averaged in one band: mean squares per frame, those of each recording over its noise.
type heard struct {
	stepS  float64   // of a frame: the time in which the band's energy is new, s
	signal []float64 // without the noise
	noise  float64
	takes  int
	drift  float64 // of the noise before and after, dB
}

// together reads every band from all good takes averaged: a time where they give none by themselves, and whether the decay bends past the range. Takes that have part in a time are used.
func (j *Joined) together(recordings []*impulse.Response) {
	good := j.clean()
	if len(good) == 0 {
		return
	}
	sources := map[int]*source{}
	for _, i := range good {
		if n := j.Takes[i].Recording; sources[n] == nil {
			sources[n] = newSource(monoOf(recordings[n]), recordings[n].Rate)
		}
	}
	for b := range j.Result.Bands {
		var h heard
		if !j.average(&h, good, sources, b) {
			continue
		}
		j.read[b] = h.time(b)
		sure := j.sureBy(b)
		j.read[b].ok = j.read[b].ok && (sure == 0 || sure == 1 && len(good) > 1) && 2*j.bentIn(good, b) < len(good)
	}
	if !j.read[octave.Index(500)].ok && !j.read[octave.Index(1000)].ok {
		return
	}
	for _, i := range good {
		t := &j.Takes[i]
		t.Used = true
		t.Cautions = slices.DeleteFunc(t.Cautions, func(c string) bool { return c == t.quiet })
	}
}

// clean lists the takes that nothing but noise, or the next clap, keeps from giving a time; none of a recording in which the recorder is seen to have changed one.
func (j *Joined) clean() []int {
	touched, bent, all := map[int]bool{}, map[int]int{}, map[int]int{}
	for _, t := range j.Takes {
		all[t.Recording]++
		if t.wrong == notStraight {
			bent[t.Recording]++
		} else if t.wrong != "" {
			touched[t.Recording] = true
		}
	}
	var out []int
	for i, t := range j.Takes {
		if t.measured && t.wrong == "" && t.directOver <= farOver && !t.Result.Clipped && !touched[t.Recording] && 2*bent[t.Recording] < all[t.Recording] {
			out = append(out, i)
		}
	}
	return out
}

// bentIn counts those of the takes whose decay bends in band b.
func (j *Joined) bentIn(takes []int, b int) (n int) {
	for _, i := range takes {
		if j.Takes[i].Result.Bands[b].T20.Why == bends {
			n++
		}
	}
	return n
}

// sureBy counts the takes in use that give band b a time by themselves.
func (j *Joined) sureBy(b int) (n int) {
	for _, t := range j.Takes {
		if t.Used && (t.Result.Bands[b].T20.Reliable || t.Result.Bands[b].T30.Reliable) {
			n++
		}
	}
	return n
}

// Averaged tells of band b whether its time was read from the mean of the takes, because noise left them none of their own: "T20" or "T15", and within which share
// of it the time is sure (two standard deviations).
func (j *Joined) Averaged(b int) (name string, within float64, ok bool) {
	r := &j.read[b]
	return r.name, 2 * r.sigma, r.ok
}

// source is a recording of which every band's energy can be had.
type source struct {
	rate     int
	n        int // points of the spectrum
	samples  int
	spectrum []complex128
	awake    float64 // s, when the recorder was
}

func newSource(mono []float64, rate int) *source {
	s := &source{rate: rate, samples: len(mono)}
	for _, v := range mono {
		if math.Abs(v) >= faintest {
			break
		}
		s.awake += 1 / float64(rate)
	}
	s.n = fft.Length(len(mono) + rate/5)
	buf := make([]float64, s.n)
	copy(buf, mono)
	s.spectrum = fft.NewReal(s.n).Coefficients(nil, buf)
	return s
}

// frames are the mean squares in band b, each over the time in which a noise in the band is new.
func (s *source) frames(b int) (energy []float64, stepS float64) {
	hz := float64(s.rate) / float64(s.n)
	last := min(len(s.spectrum)-1, int(octave.Exact(b)*math.Exp2(octave.Reach)/hz)+1)
	short := fft.Length(2*last + 2) // a band needs no more samples than its own
	coeff := make([]complex128, short/2+1)
	for k := int(octave.Exact(b) * math.Exp2(-octave.Reach) / hz); k <= min(last, short/2); k++ {
		coeff[k] = s.spectrum[k] * complex(octave.Gain(b, float64(k)*hz)/float64(s.n), 0)
	}
	x := fft.NewReal(short).Sequence(nil, coeff)
	stepS = frameOf(b)
	per := stepS * hz * float64(short) // samples of x
	energy = make([]float64, int(float64(s.samples)/float64(s.rate)/stepS))
	for i := range energy {
		a, z := int(float64(i)*per), int(float64(i+1)*per)
		for _, v := range x[a:z] {
			energy[i] += v * v / float64(max(1, z-a))
		}
	}
	return energy, stepS
}

// frameOf is the length of a frame in band b: the inverse of its bandwidth, s; in the treble that of 1 kHz, which is fine enough.
func frameOf(b int) float64 { return math.Sqrt2 / min(octave.Exact(b), 1000) }

// average fills in the mean of the takes in band b; false where the noise is not known.
func (j *Joined) average(h *heard, good []int, sources map[int]*source, b int) bool {
	if octave.Exact(b)*math.Sqrt2 > float64(sources[j.Takes[good[0]].Recording].rate)/2 {
		return false
	}
	var parts [][]float64 // of the takes, over the noise
	perRecording := map[int][]int{}
	for _, i := range good {
		n := j.Takes[i].Recording
		perRecording[n] = append(perRecording[n], i)
	}
	for _, n := range slices.Sorted(maps.Keys(perRecording)) {
		energy, stepS := sources[n].frames(b)
		h.stepS = stepS
		at := func(sample int, plusS float64) int {
			return max(0, min(len(energy), int((float64(sample)/float64(sources[n].rate)+plusS)/stepS)))
		}
		var takes [][]float64
		var before []float64
		for _, t := range j.Takes {
			if t.Recording == n && t.first {
				z := at(t.from, -0.06)
				before = energy[min(z, max(at(t.from, -mostPause), int(sources[n].awake/stepS)+1)):z]
			}
		}
		for _, i := range perRecording[n] {
			t := j.Takes[i]
			if a, z := at(t.from, skipS), at(t.to, -0.02); z-a > int(0.3/stepS) {
				takes = append(takes, energy[a:z])
			}
		}
		noise, drift, ok := noiseOf(before, takes, stepS)
		if !ok {
			continue
		}
		h.drift = max(h.drift, drift)
		for _, x := range takes {
			over := make([]float64, len(x))
			for i, e := range x {
				over[i] = e/noise - 1
			}
			parts = append(parts, over)
		}
	}
	return h.fill(parts)
}

// noiseOf is the mean square of the noise: before the first take, and at the ends of the takes that die away into it; drift is by how much, in dB, these differ.
func noiseOf(before []float64, takes [][]float64, stepS float64) (noise, drift float64, ok bool) {
	long := int(leastPause / stepS)
	if len(before) < long {
		before = nil
	}
	var levels []float64
	guess := math.Inf(1)
	if before != nil {
		guess = mean(before)
		levels = append(levels, guess)
	}
	for _, x := range takes {
		guess = min(guess, mean(x[len(x)-len(x)/8:]))
	}
	for _, x := range takes {
		// A take's end is noise where its last two eighths are alike, and near the least level that there is.
		n := len(x) / 8
		late, last := mean(x[len(x)-2*n:len(x)-n]), mean(x[len(x)-n:])
		if n < long/2 || late > 1.26*last || last > 2*guess {
			continue
		}
		levels = append(levels, (late+last)/2)
	}
	if len(levels) == 0 {
		return 0, 0, false
	}
	noise = mean(levels)
	return noise, 10 * math.Log10(slices.Max(levels)/slices.Min(levels)), noise > 0
}

func mean(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v
	}
	return sum / float64(max(1, len(x)))
}

// fill averages the takes, of which each stands over a noise of 1: the loud ones, in which the room stands farther over the noise, count for more.
func (h *heard) fill(parts [][]float64) bool {
	if len(parts) == 0 {
		return false
	}
	slices.SortFunc(parts, func(a, b []float64) int { return cmp.Compare(len(b), len(a)) })
	first := int(0.3 / h.stepS)
	weight, all := make([]float64, len(parts)), 0.0
	for i, x := range parts {
		weight[i] = max(0, mean(x[:min(first, len(x))]))
		all += weight[i]
	}
	if all <= 0 {
		return false
	}
	h.takes = len(parts)
	h.noise = float64(len(parts)) / all
	for i := range parts[0] {
		sum, present := 0.0, 0.0
		for k, x := range parts {
			if i >= len(x) {
				break
			}
			sum += x[i]
			present += weight[k]
		}
		if present < all/2 {
			break
		}
		h.signal = append(h.signal, sum/present)
	}
	return len(h.signal) > 10
}

// reading is a time that was read from averaged takes.
type reading struct {
	ok    bool
	name  string  // "T20" or "T15"
	time  float64 // s
	sigma float64 // standard deviation re the time
	why   string  // why it is not sure
}

// readTogether puts the time of the averaged takes into band b of the result, where no take gave one.
func (j *Joined) readTogether(b int) {
	r := &j.read[b]
	band := &j.Result.Bands[b]
	if r.why == bends {
		doubt(&band.T30, &band.T20, &band.EDT)
	}
	if !r.ok {
		return
	}
	none := Figure{Value: math.NaN(), Why: "read from the mean of the claps, the noise taken off"}
	band.T30, band.T20, band.EDT, band.Curvature, band.NonLinearity = none, none, none, none, none
	f := Figure{Value: r.time, Reliable: true}
	if r.name == "T20" {
		band.T20 = f
	} else {
		band.T15 = f
	}
	j.Spread[b] = r.sigma
}

// time reads the widest range that noise leaves in band b.
func (h *heard) time(b int) reading {
	var out reading
	if h.drift > noiseDrift {
		out.why = fmt.Sprintf("the noise before and after the claps differs by %.0f dB", h.drift)
		return out
	}
	for _, fit := range []struct {
		name string
		to   float64
	}{{"T20", toT20}, {"T15", toT15}} {
		d, ok := readDecay(h.signal, h.noise, fit.to, 0)
		if !ok {
			continue
		}
		sigma, halves, tails := h.chance(d, fit.to, b)
		off := 0.0
		for _, by := range []float64{-1, 1} {
			delta := max(noiseUnsure, h.drift/2) / math.Sqrt(float64(h.takes))
			other := make([]float64, len(h.signal))
			add := h.noise * (math.Pow(10, by*delta/10) - 1)
			for i, s := range h.signal {
				other[i] = s - add
			}
			o, ok := readDecay(other, h.noise+add, fit.to, d.rate)
			if !ok {
				off = 1
				continue
			}
			off = max(off, math.Abs(d.rate/o.rate-1))
		}
		r := reading{name: fit.name, time: 6 * math.Ln10 / d.rate * h.stepS, sigma: math.Hypot(sigma, off)}
		tail := math.Abs(math.Log(max(d.tail, 1e-3)))
		switch bend := math.Abs(d.second/d.first - 1); {
		case bend > max(mostHalves, 2*halves), tail > max(mostTail, 2*math.Hypot(tails, d.tailBy*(math.Pow(10, max(noiseUnsure, h.drift/2)/10/math.Sqrt(float64(h.takes)))-1))):
			r.why = bends
		case 2*r.sigma > twoSigma:
			r.why = fmt.Sprintf("%s is not sure to 10 %%: noise and chance leave it within %.0f %%", fit.name, 200*r.sigma)
		default:
			r.ok = true
			return r
		}
		out = r
		if r.why == bends { // a shorter range of the same decay would only not show it
			break
		}
	}
	if out.why == "" {
		out.why = "the noise leaves less than 15 dB of the decay"
	}
	return out
}

// exponential is a decay that was read: energy level·exp(-rate·frame) over the noise.
type exponential struct {
	level, rate   float64 // rate per frame
	first, second float64 // times of the halves of the range, frames
	tail, tailBy  float64 // energy past the range, and the noise taken off it, re what the decay leaves there
	cut           int     // where it meets the noise
}

// readDecay reads a decay from -5 dB to `to`; rate is a first guess, 0 for none. ok is false where the range does not stand 2 dB over what was cut off.
func readDecay(signal []float64, noise, to, rate float64) (d exponential, ok bool) {
	if rate == 0 {
		if rate = guessRate(signal, noise); rate <= 0 {
			return d, false
		}
	}
	d.rate = rate
	d.level = mean(signal[:min(len(signal), max(3, int(1/rate)))]) / (1 - math.Exp(-1)) // over the first fall by e
	var curve []float64
	for range 5 {
		if d.level <= noise || math.IsNaN(d.level) {
			return d, false
		}
		d.cut = max(3, min(len(signal), int(math.Log(d.level/noise)/d.rate)))
		rest := d.level * math.Exp(-d.rate*float64(d.cut)) / d.rate
		curve = append(curve[:0], make([]float64, d.cut)...)
		sum := rest
		for i := d.cut - 1; i >= 0; i-- {
			sum += signal[i]
			curve[i] = sum
		}
		if curve[0] <= 0 || curve[0]*math.Pow(10, to/10) < 1.6*rest {
			return d, false
		}
		t, _ := decayFit(curve, 1, -5, to)
		if !(t > 0) {
			return d, false
		}
		d.rate = 6 * math.Ln10 / t
		d.level = curve[0] * d.rate
	}
	end := slices.IndexFunc(curve, func(e float64) bool { return e <= curve[0]*math.Pow(10, to/10) })
	last := min(len(signal), d.cut+(d.cut-end)/2)
	left := d.level / d.rate * (math.Exp(-d.rate*float64(end)) - math.Exp(-d.rate*float64(last)))
	d.tail, d.tailBy = float64(last-end)*mean(signal[end:last])/left, float64(last-end)*noise/left
	d.first, d.second = DecayTime(curve, 1, -5, (to-5)/2), DecayTime(curve, 1, (to-5)/2, to)
	return d, d.first > 0 && d.second > 0
}

// guessRate is the rate of a line through the levels of the first decay until it comes within 5 dB of the noise, per frame.
func guessRate(signal []float64, noise float64) float64 {
	window := max(8, len(signal)/60)
	var level []float64
	for a := 0; a+window <= len(signal); a += window {
		m := mean(signal[a : a+window])
		if m < 2.2*noise {
			break
		}
		level = append(level, math.Log(m))
	}
	if len(level) < 3 {
		if window > 8 { // a short room in a long recording
			return guessRate(signal[:len(signal)/3], noise)
		}
		return 0
	}
	k, _ := line(level)
	return -k / float64(window)
}

// chance is the standard deviation of the time and of the ratio of its halves, as decays of noise have it that fall like d and lie in the same noise. The room's own chance is the same
// in all takes of one place, the noise's is not.
func (h *heard) chance(d exponential, to float64, band int) (sigma, halves, tails float64) {
	rng := rand.New(rand.NewPCG(uint64(band), 1995))
	n := min(len(h.signal), d.cut+d.cut/2)
	x := make([]float64, n)
	var times, ratios, late []float64
	lost := 0
	for range simulated {
		for i := range x {
			s := math.Sqrt(d.level * math.Exp(-d.rate*float64(i)) / 2)
			re, im := s*rng.NormFloat64(), s*rng.NormFloat64()
			w := math.Sqrt(h.noise / 2)
			x[i] = -h.noise
			for range h.takes {
				u, v := re+w*rng.NormFloat64(), im+w*rng.NormFloat64()
				x[i] += (u*u + v*v) / float64(h.takes)
			}
		}
		o, ok := readDecay(x, h.noise, to, 0)
		if !ok {
			lost++
			continue
		}
		times = append(times, math.Log(o.rate))
		ratios = append(ratios, math.Log(o.second/o.first))
		late = append(late, math.Log(max(o.tail, 1e-3)))
	}
	if lost > simulated/4 {
		return 1, 1, 1
	}
	_, sigma = meanSpread(times)
	_, halves = meanSpread(ratios)
	_, tails = meanSpread(late)
	return sigma, halves, tails
}
