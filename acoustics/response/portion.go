package response

import (
	"context"
	"math"
	"sync"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/octave"
)

// Begun is how many samples of a tail are there first.
const Begun = 3 << 15

// A long tail is made in two portions: its beginning is wanted at once, the rest when the first seconds have been heard. In
// between, two tails of independent noise change over, one rising as a sine and one falling as a cosine, so that their powers add up to what either
// has alone (as in any diffuse field, of which no two stretches have to do with each other).
const begunOver = 1 << 17 // samples, by when the first has faded

// portion is which part of a tail is made.
type portion int

const (
	entire portion = iota
	beginning
	remainder
)

// from is where it begins, s.
func (p portion) from(rate int) float64 {
	if p == remainder {
		return Begun / float64(rate)
	}
	return 0
}

// undivided says whether all of band b, of length samples, belongs to the beginning: a low band has too few periods in the
// time of the change for two of its noises to add up evenly, and takes little time anyway.
func undivided(b, length int) bool { return b <= 4 || length <= begunOver }

// of is how many samples of band b, of length samples, it has.
func (p portion) of(b, length int) int {
	switch {
	case p == entire || p == beginning && undivided(b, length):
		return length
	case p == beginning:
		return begunOver
	case undivided(b, length):
		return 0
	}
	return length - Begun
}

// longest is how many samples it has of bands of length samples each.
func (p portion) longest(length [octave.N]int) (samples int) {
	for b, n := range length {
		samples = max(samples, p.of(b, n))
	}
	return samples
}

// window is how it is cut out of band b, of length samples.
func (p portion) window(b, length, rate int) window {
	switch {
	case p == entire || undivided(b, length):
		return window{}
	case p == beginning:
		return window{holds: Begun / float64(rate), ends: begunOver / float64(rate)}
	}
	return window{from: Begun / float64(rate), rises: (begunOver - Begun) / float64(rate)}
}

// window is the part of an envelope that a portion has, s. The zero window shows all of it.
type window struct {
	from, rises float64 // where it begins, and how long it takes to open
	holds, ends float64 // from where to where it shuts; it stays open where ends is 0
}

// stream is the chance of band b, different before and after.
func (w window) stream(b int) uint64 {
	if w.from > 0 {
		return 1<<9 | uint64(b)
	}
	return uint64(b)
}

// fade puts the window over an envelope at rate fs.
func (w window) fade(dst []float64, fs float64) {
	if w.rises > 0 {
		turn(dst[:min(len(dst), int(math.Ceil(w.rises*fs)))], 0, math.Pi/2/(w.rises*fs))
	}
	if w.ends > 0 {
		over := min(len(dst), int(w.ends*fs))
		from := min(over, int(math.Ceil(w.holds*fs)))
		step := math.Pi / 2 / ((w.ends - w.holds) * fs)
		turn(dst[from:over], math.Pi/2+(float64(from)-w.holds*fs)*step, step)
		clear(dst[over:])
	}
}

// turn multiplies x by the sine of an angle that begins at from and grows by step, both in radians.
func turn(x []float64, from, step float64) {
	sin, cos := math.Sincos(from)
	s, c := math.Sincos(step)
	for i := range x {
		x[i] *= sin
		sin, cos = float64(sin*c)+float64(cos*s), float64(cos*c)-float64(sin*s)
	}
}

// Tail is the dense tail that all sources share, whose beginning is there before the rest.
type Tail struct {
	begun   *impulse.Response
	samples int
	rest    func(context.Context) (*impulse.Response, error) // nil once all is there
	mu      sync.Mutex
	all     *impulse.Response
}

func allThere(all *impulse.Response) *Tail {
	return &Tail{begun: all, samples: len(all.L), all: all}
}

// Samples is the length of the whole.
func (t *Tail) Samples() int { return t.samples }

// Beginning is what is there at once: the first [Begun] samples are those of the whole.
func (t *Tail) Beginning() *impulse.Response { return t.begun }

// Whole is all of it, made when it is first asked for; it errs as ctx does.
func (t *Tail) Whole(ctx context.Context) (*impulse.Response, error) {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.all != nil {
		return t.all, nil
	}
	rest, err := t.rest(ctx)
	if err != nil {
		return nil, err
	}
	all := &impulse.Response{Rate: t.begun.Rate}
	for _, ch := range []struct {
		out         *[]float64
		begun, rest []float64
	}{{&all.L, t.begun.L, rest.L}, {&all.R, t.begun.R, rest.R}} {
		x := make([]float64, t.samples)
		copy(x, ch.begun)
		for i, v := range ch.rest {
			x[Begun+i] += v
		}
		*ch.out = x
	}
	t.all, t.rest = all, nil // what the remainder was made of is no longer needed
	return all, nil
}
