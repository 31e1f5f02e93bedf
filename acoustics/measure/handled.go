package measure

import (
	"math"

	"afterchord/acoustics/internal/fft"
	"afterchord/acoustics/octave"
)

// What a recorder does to a decay, in words.
const (
	gated      = "a gate or noise suppression has cut the decay off: switch it off in the recorder"
	regain     = "an automatic gain has changed the decay: switch it off in the recorder (or another sound came in)"
	suppressed = "noise suppression was at work before the clap: switch it off in the recorder"
	bulging    = "an automatic gain or a noise suppression: in every band the decay ends faster than it begins; switch it off in the recorder"
)

// faintest is what a microphone's own noise is not under, re full scale.
const faintest = 6e-5

// handled says what a recorder has done to the decay: a gate, an automatic gain; "" for nothing that shows.
func (t *Take) handled(mono []float64) string {
	if t.silenced(mono) {
		return gated
	}
	env := atLeast(20*math.Log10(leastSound(mono[t.from:t.to])), envelope(mono[t.from:t.to], t.rate))
	for i := 15; i+3 < len(env); i++ { // not in the first 150 ms
		if env[i-1]-env[i+1] > gateDB && env[i-1]-env[i+2] > gateDB {
			return gated
		}
	}
	switch {
	case t.regained(mono):
		return regain
	case t.first && brokenUp(mono, t.from, t.rate):
		return suppressed
	case t.Result.bulges():
		return bulging
	}
	return ""
}

// silenced tells whether the take falls to digital silence from where sound still was. A quiet recording reaches silence too, by steps of its last digit.
func (t *Take) silenced(mono []float64) bool {
	x := mono[t.from:t.to]
	zeros, longest, at := 0, 0, 0
	for i, v := range x {
		if v != 0 {
			zeros = 0
			continue
		}
		if zeros++; zeros > longest {
			longest, at = zeros, i+1-zeros
		}
	}
	if longest <= t.rate/30 || len(x)-longest <= t.rate/10 {
		return false
	}
	return rms(x[max(0, at-t.rate/50):at]) > leastSound(x)
}

// lastDigit is the smallest step of x: the least of its values that is not 0.
func lastDigit(x []float64) float64 {
	least := math.Inf(1)
	for _, v := range x {
		if a := math.Abs(v); a > 0 && a < least {
			least = a
		}
	}
	return least
}

// leastSound is the amplitude under which x holds no sound, but its last digits.
func leastSound(x []float64) float64 { return max(faintest, aboveDigit*lastDigit(x)) }

// atLeast lifts the levels that are lower than floor to it.
func atLeast(floor float64, level []float64) []float64 {
	for i := range level {
		level[i] = max(level[i], floor)
	}
	return level
}

func rms(x []float64) float64 {
	sum := 0.0
	for _, v := range x {
		sum += v * v
	}
	return math.Sqrt(sum / float64(max(1, len(x))))
}

// brokenUp tells whether the noise before the clap, which begins at from, has been through a noise suppression. The level of a steady noise in one bin of a short
// spectrum scatters by 5.57 dB, whatever its colour (the logarithm of a chi-square with two degrees of freedom: 10/ln 10 · π/√6); a suppression, which weakens
// the weak bins more, makes it scatter wider. What all frames, or all bins, have in common is taken off: colour, and steps.
func brokenUp(mono []float64, from, rate int) bool {
	const margin, longest = 0.05, 2.0 // s
	to := from - int(margin*float64(rate))
	x := mono[max(0, to-int(longest*float64(rate))):max(0, to)]
	for len(x) > 0 && math.Abs(x[0]) < faintest { // before the recorder was awake
		x = x[1:]
	}
	n := 256
	for 45*n < rate { // frames of some 20 ms
		n *= 2
	}
	frames := 2*len(x)/n - 1
	if frames < 12 || rms(x) < leastSound(mono) {
		return false
	}
	first, bins := n*300/rate, n*3700/rate // 300 Hz to 4 kHz
	level := make([][]float64, frames)
	transform, block := fft.NewReal(n), make([]float64, n)
	var spectrum []complex128
	ofBin := make([]float64, bins)
	var before, after float64 // mean levels of the two halves, dB
	for f := range level {
		for i := range block {
			block[i] = x[f*n/2+i] * (1 - math.Cos(2*math.Pi*float64(i)/float64(n)))
		}
		spectrum = transform.Coefficients(spectrum, block)
		level[f] = make([]float64, bins)
		mean := 0.0
		for k := range bins {
			c := spectrum[first+k]
			level[f][k] = 10 * math.Log10(real(c)*real(c)+imag(c)*imag(c)+1e-30)
			mean += level[f][k] / float64(bins)
		}
		if f < frames/2 {
			before += mean / float64(frames/2)
		} else {
			after += mean / float64(frames-frames/2)
		}
		for k := range bins {
			level[f][k] -= mean
			ofBin[k] += level[f][k] / float64(frames)
		}
	}
	if math.Abs(after-before) > mostDrift { // something else rings: what is left of an earlier clap
		return false
	}
	sum := 0.0
	for _, frame := range level {
		for k, l := range frame {
			sum += (l - ofBin[k]) * (l - ofBin[k])
		}
	}
	return math.Sqrt(sum/float64((frames-1)*bins)) > mostScatter
}

// bulges tells whether the decays of the bands from 250 Hz up end, on the whole, faster than they begin. Rooms bend the other way; by chance the mean of three bands
// or more comes seldom under -1.5 %. A decay that meets the noise only where the recording ends, or the next clap begins, tells nothing: part of it is taken for noise.
func (r *Result) bulges() bool {
	sum, n := 0.0, 0.0
	for _, band := range r.Bands[octave.Index(250):] {
		if c := band.Curvature.Value; !math.IsNaN(c) && band.met < mostMet {
			sum += c
			n++
		}
	}
	return n >= 3 && sum/n < mostBulge
}
