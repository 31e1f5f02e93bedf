package response

import (
	"math"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
)

// tailShape is how a tail decays at each frequency: as its path says, times what has been put right in each octave.
type tailShape struct {
	path   room.Path
	mixing float64 // s
	window window
	fix    [octave.N]bandFix
}

// bandFix is what an octave's rate and gain have to be multiplied by.
type bandFix struct{ rate, gain float64 }

func newTailShape(path room.Path, mixing float64) *tailShape {
	s := &tailShape{path: path, mixing: mixing}
	for b := range s.fix {
		s.fix[b] = bandFix{1, 1}
	}
	return s
}

// at is the exponentials at hz.
func (s *tailShape) at(hz float64) []room.Term {
	terms := s.path.Late(hz)
	x := min(octave.N-1, max(0, math.Log2(hz/octave.Exact(0))))
	b := min(octave.N-2, int(x))
	u := x - float64(b)
	mixed := func(low, high float64) float64 { return math.Pow(low, 1-u) * math.Pow(high, u) }
	rate, gain := mixed(s.fix[b].rate, s.fix[b+1].rate), mixed(s.fix[b].gain, s.fix[b+1].gain)
	for i := range terms {
		terms[i].Rate *= rate
		terms[i].Gain *= gain
	}
	return terms
}

// slowest is the lowest rate of the frequencies from lo to hi, 1/s.
func (s *tailShape) slowest(lo, hi float64) float64 {
	slowest := math.Inf(1)
	for hz := lo; hz <= hi; hz *= 1.05 {
		for _, t := range s.at(hz) {
			slowest = min(slowest, t.Rate)
		}
	}
	return slowest
}

// Neighbouring knots differ by no more than so much in rate and gain, so that a straight line between their envelopes stays within
// a few tenths of a decibel over the first 60 dB.
const (
	knotRate = 0.08
	knotGain = 0.12
)

// knot is a frequency at which a band's envelope is computed; between two the amplitude goes straight on a logarithmic scale.
type knot struct {
	hz    float64
	terms []room.Term
}

// knots are the frequencies from lo to hi, both among them, and every octave's centre.
func (s *tailShape) knots(lo, hi float64) []knot {
	edges := []float64{lo}
	for b := range octave.N {
		if c := octave.Exact(b); c > lo*1.01 && c < hi/1.01 {
			edges = append(edges, c)
		}
	}
	edges = append(edges, hi)
	out := []knot{{lo, s.at(lo)}}
	for i := 1; i < len(edges); i++ {
		a, z := edges[i-1], edges[i]
		n := s.steps(a, z)
		for k := 1; k <= n; k++ {
			hz := a * math.Pow(z/a, float64(k)/float64(n))
			out = append(out, knot{hz, s.at(hz)})
		}
	}
	return out
}

// steps is how many knots the stretch from a to z needs: the largest change of a 24th of it, times 24, against what a step may be.
func (s *tailShape) steps(a, z float64) int {
	const parts = 24
	most := 0.0
	before := s.at(a)
	for i := 1; i <= parts; i++ {
		here := s.at(a * math.Pow(z/a, float64(i)/parts))
		for j, t := range here {
			most = max(most, math.Abs(math.Log(t.Rate/before[j].Rate))/knotRate, math.Abs(math.Log(t.Gain/before[j].Gain))/knotGain)
		}
		before = here
	}
	return max(1, int(math.Ceil(parts*most)))
}

// anchor is after how many samples an envelope is computed anew from its exponentials; between, each sample follows from the one before.
const anchor = 4096

// envelope is the amplitude for noise of mean square 1 at rate fs, in n samples: mean square
// Σ Gain·Rate·exp(−Rate·t)·density from the path's delay on, faded in over the mixing time, and seen through the window.
func (s *tailShape) envelope(dst []float64, terms []room.Term, fs, density float64) {
	s.decays(dst, terms, fs, density)
	s.window.fade(dst, fs)
}

// decays is the envelope from where the window begins, without its fading.
func (s *tailShape) decays(dst []float64, terms []room.Term, fs, density float64) {
	start := (s.path.DelayS - s.window.from) * fs
	first := min(len(dst), max(0, int(math.Ceil(start))))
	clear(dst[:first])
	over := min(len(dst), max(first, int(math.Ceil(start+s.mixing*fs))))
	for i := first; i < over; i++ {
		at := (float64(i) - start) / fs
		var power float64
		for _, t := range terms {
			power += t.Gain * t.Rate * density * math.Exp(-t.Rate*at)
		}
		dst[i] = math.Sqrt(power * diffuseShare(at/s.mixing))
	}
	if len(terms) == 1 { // no square roots are needed
		t := terms[0]
		g := math.Sqrt(t.Gain * t.Rate * density * math.Exp(-t.Rate*(float64(over)-start)/fs))
		f := math.Exp(-t.Rate / fs / 2)
		for i := over; i < len(dst); i++ {
			dst[i] = g
			g *= f
		}
		return
	}
	for at := over; at < len(dst); at += anchor {
		part := dst[at:min(len(dst), at+anchor)]
		clear(part)
		for _, t := range terms {
			p := t.Gain * t.Rate * density * math.Exp(-t.Rate*(float64(at)-start)/fs)
			f := math.Exp(-t.Rate / fs)
			for i := range part {
				part[i] += p
				p *= f
			}
		}
		for i, p := range part {
			part[i] = math.Sqrt(p)
		}
	}
}
