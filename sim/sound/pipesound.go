package sound

import (
	"math"
	"sync"

	"afterchord/acoustics/octave"
	"afterchord/voicing"
)

// pipeSound is the computed sound of one pipe: its onset, with a chiff over it, then a loop for as long as it is
// held. Samples are in units whose mean square is pW of sound power.
type pipeSound struct {
	onset []int16 // from the first sound (the pipe's dead time is left to the voice)
	loop  []int16 // whole periods
	unit  float64 // what 1 stands for in both, see [shorts]
	chiff chiff
	rise  []float32 // rms of the partials re steady at every gridth sample of the onset, for early releases

	dead     int     // samples from pallet to first sound
	period   float64 // of the fundamental, samples
	periods  int     // in the loop
	glide    glide
	release  float64 // time constant of the fundamental's amplitude, samples
	releases []release
	wind     float64 // power of the wind noise, pW
	windBand int     // octave band of its peak
	draws    float64 // of the chest's wind, see windOf
	seed     uint64
}

const (
	// highestPartial as a share of the rate: nothing is synthesised near the Nyquist frequency.
	highestPartial = 0.45
	// riseSpan: a rise is complete after so many of its time constants; it is stretched by
	// e^-6 = 0.25 % so that it meets the loop without a step.
	riseSpan = 6
	// tuningError is how far the loop may lie from the pipe's pitch: 0.05 cent.
	tuningError = 0.05 / 1200 * math.Ln2
	// shortestLoop keeps the cost of going round small, samples.
	shortestLoop = 2048
)

func (p *pipeSound) bytes() int64 {
	n := len(p.onset) + len(p.loop) + 2*len(p.rise) + chiffTakes*len(p.chiff.takes[0])
	for _, r := range p.releases {
		n += len(r.loop.samples) + 2*(len(r.rise)+len(r.curve))
	}
	return int64(2*n) + 400
}

// newPipeSound computes p at rate. Amplitude of partial n: 1-exp(-t/τn), t from the first sound.
func newPipeSound(p voicing.Pipe, rate int, seed uint64) *pipeSound {
	s := &pipeSound{
		dead:     int(math.Round(p.Speech.DeadS * float64(rate))),
		release:  math.Max(1, p.Speech.ReleaseS*float64(rate)),
		wind:     p.Noise.WindPower,
		windBand: octave.Index(p.Noise.WindHz),
		draws:    windOf(p.Hz),
		seed:     seed,
	}
	if !(p.Hz > 0) {
		s.loop = make([]int16, shortestLoop)
		return s
	}
	s.period = float64(rate) / p.Hz
	periods, length := loopLength(s.period)
	s.periods = periods
	partials := make([]voicing.Partial, 0, len(p.Partials))
	onset := 0
	for _, q := range p.Partials {
		if q.Hz < highestPartial*float64(rate) && q.Power > 0 && q.N > 0 {
			partials = append(partials, q)
			onset = max(onset, riseSamples(q, rate))
		}
	}
	buf := scratch.Get().(*buffers)
	defer scratch.Put(buf)
	s.chiff = newChiff(p.Noise, rate, seed, buf)
	s.glide = newGlide(p.Speech, rate)
	lead, besides := s.glide.lead(), s.glide.besides()
	onset = max(onset+max(0, lead), len(s.chiff.takes[0]), s.glide.n)
	loop := cleared(&buf.loop, length)
	bank := buf.bank[:0]
	for _, q := range partials {
		bank = append(bank, steady(q, math.Sqrt(2*q.Power), periods, length, length))
	}
	ring(loop, bank)
	buf.bank = bank
	var groups [][]voicing.Partial
	for g := range voicing.ReleaseGroups {
		if group := inGroup(partials, g); len(group) > 0 {
			groups = append(groups, group)
			s.releases = append(s.releases, newRelease(group, p.Speech.ReleaseOf(g), onset, rate, buf))
		}
	}
	for i := range len(groups) - 1 {
		s.releases[i].loop = newGroupLoop(groups[i], s.period, buf)
	}
	sum := cleared(&buf.onset, onset+besides)
	first := (lead%length + length) % length
	copy(sum, loop[first:])
	for at := length - first; at < len(sum); at += length {
		copy(sum[at:], loop)
	}
	bank = buf.bank[:0]
	for _, q := range partials {
		q.Phase += float64(lead) * advance(q.N, periods, length)
		bank = notYetRisen(bank, q, rate, periods, length)
	}
	ring(sum, bank)
	buf.bank = bank
	bent := sized(&buf.bent, onset)
	s.glide.bend(bent, sum)
	s.unit = unitFor(max(largest(bent), largest(loop)))
	s.onset, s.loop = make([]int16, onset), make([]int16, length)
	shorts(s.onset, bent, s.unit)
	enter := onset % length // the loop is entered where the onset leaves it
	shorts(s.loop, loop[enter:], s.unit)
	shorts(s.loop[length-enter:], loop[:enter], s.unit)
	s.rise = riseCurve(partials, onset, rate, buf)
	return s
}

// scratch keeps the working space of one computation for the next.
var scratch = sync.Pool{New: func() any { return new(buffers) }}

type buffers struct {
	loop, part, onset, bent []float64
	bank                    []resonator
}

// sized is n samples in the space of *b, whatever is in them.
func sized(b *[]float64, n int) []float64 {
	if cap(*b) < n {
		*b = make([]float64, n)
	}
	return (*b)[:n]
}

// cleared is n zeros in the space of *b.
func cleared(b *[]float64, n int) []float64 {
	x := sized(b, n)
	clear(x)
	return x
}

// loopLength finds the fewest whole periods (of so many samples each) that fill a
// whole number of samples to within tuningError and are not shorter than shortestLoop.
func loopLength(period float64) (periods, samples int) {
	best := math.Inf(1)
	for k := max(1, int(math.Ceil(shortestLoop/period))); ; k++ {
		n := math.Round(float64(k) * period)
		if e := math.Abs(float64(k)*period/n - 1); e < best {
			best, periods, samples = e, k, int(n)
		}
		if best < tuningError || samples > 1<<17 {
			return periods, samples
		}
	}
}

func riseSamples(q voicing.Partial, rate int) int {
	return int(riseSpan * math.Max(0, q.RiseS) * float64(rate))
}

// riseCurve is the rms of the partials, re steady, at every gridth sample of the onset.
func riseCurve(partials []voicing.Partial, onset, rate int, buf *buffers) []float32 {
	powers := cleared(&buf.part, onset/grid+2)
	total := 0.0
	for _, q := range partials {
		total += q.Power
		left, fall := 1.0, 0.0 // what it lacks, which falls from one value to the next
		if q.RiseS > 0 {
			fall = math.Exp(-grid / (q.RiseS * float64(rate)))
		} else {
			left = 0
		}
		for i := range powers {
			powers[i] += float64(q.Power * (1 - left) * (1 - left))
			left *= fall
		}
	}
	if total == 0 {
		total = 1
	}
	curve := make([]float32, len(powers))
	for i, p := range powers {
		curve[i] = float32(math.Sqrt(p / total))
	}
	return curve
}
