package sound

import (
	"context"
	"math"
	"slices"
	"sync"

	"afterchord/acoustics/air"
	"afterchord/acoustics/convolve"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/response"
)

// Responses are how the divisions of an organ are heard from a seat: stereo responses that are
// worth keeping for the next job in the same place. They are read-only.
type Responses struct {
	own    []convolve.Response // of each division's place: the direct sound and the first reflections
	direct []convolve.Response // the direct sound of those in a swell box alone, which is in own too; empty for others
	late   *response.Tail      // of all; nil where the sound is dry
	rate   int
	ears   bool
}

// NewResponses computes the responses of the job's organ, room, seat, rate, Dry and Ears. It errs for a job that Render
// does not take, as ctx does, which it asks at times, and as [response.Ears].
func NewResponses(ctx context.Context, j Job) (*Responses, error) {
	if err := j.check(); err != nil {
		return nil, err
	}
	return j.computeResponses(ctx)
}

// Finish makes what is not there yet: the end of a long tail, which a rendering makes once the beginning is heard. It errs as ctx does.
func (r *Responses) Finish(ctx context.Context) error {
	_, err := r.tail(ctx)
	return err
}

// tail is all of the tail.
func (r *Responses) tail(ctx context.Context) (convolve.Response, error) {
	if r.late == nil {
		return convolve.Response{}, nil
	}
	all, err := r.late.Whole(ctx)
	return asResponse(all), err
}

// Bytes is the memory that they take when all is there.
func (r *Responses) Bytes() int64 {
	n := 0
	if r.late != nil {
		n = 2 * r.late.Samples()
	}
	for _, o := range append(slices.Clone(r.own), r.direct...) {
		n += len(o.L) + len(o.R)
	}
	return 8 * int64(n)
}

// responses are those that the job was given, or its own.
func (j *Job) responses(ctx context.Context) (*Responses, error) {
	if j.Responses != nil {
		return j.Responses, nil
	}
	return j.computeResponses(ctx)
}

func (j *Job) computeResponses(ctx context.Context) (*Responses, error) {
	n := len(j.Organ.Divisions)
	h := &Responses{rate: j.Rate, ears: j.Ears, own: make([]convolve.Response, n), direct: make([]convolve.Response, n)}
	if j.Dry {
		for i := range h.own {
			h.own[i] = j.direct(i)
		}
		return h, nil
	}
	sources := make([]response.Source, n)
	for i := range sources {
		sources[i] = response.Source{At: j.Organ.Divisions[i].Place, InCase: true}
	}
	var early []response.Early
	var err error
	if j.Ears {
		early, h.late, err = response.Ears(ctx, j.Room, sources, j.Seat, j.Rate)
	} else {
		early, h.late, err = response.Pair(ctx, j.Room, sources, j.Seat, j.Rate)
	}
	if err != nil {
		return nil, err
	}
	for i, e := range early {
		h.own[i] = asResponse(e.Whole())
		if j.Organ.Divisions[i].Enclosed {
			h.direct[i] = asResponse(e.Direct)
		}
	}
	return h, nil
}

// ahead is [room.Room.Ahead] of a division.
func (j *Job) ahead(division int) float64 {
	return j.Room.Ahead(j.Organ.Divisions[division].Place, j.Seat)
}

// beginsIn is the time in which the sound comes in short stretches, samples: as long as the beginning of a tail, which is all that is heard in it.
const beginsIn = response.Begun

// hall is the convolution with the responses. The beginning comes in short stretches, for which
// the beginning of the responses is enough; it is kept to prime the convolution in long blocks.
type hall struct {
	own    []convolve.Response
	shared func() (convolve.Response, error) // waits until all of it is there
	apart  int                               // how many of own, the last ones, are all that is heard of their inputs
	first  *convolve.Convolver               // nil once the first block is over
	begun  [][]float64                       // a block of each input that ends with the beginning; nil while silent
	at     int
	long   *convolve.Convolver
	tail   int // length of the longest response, samples
	gap    int // longest silence at the beginning of a response, samples
	work   int
	err    error
}

// hall has an input for each division and one more for the direct sound of each of boxed.
func (j *Job) hall(ctx context.Context, boxed []int) *hall {
	given, err := j.responses(ctx)
	if err != nil {
		return &hall{err: err}
	}
	h := &hall{work: j.workers(), own: slices.Clone(given.own), apart: len(boxed)}
	h.shared = sync.OnceValues(func() (convolve.Response, error) { return given.tail(ctx) })
	for _, i := range boxed {
		h.own[i] = without(given.own[i], given.direct[i])
		h.own = append(h.own, given.direct[i])
	}
	var shared convolve.Response
	if given.late != nil {
		shared, h.tail = asResponse(given.late.Beginning()), given.late.Samples()
	}
	for _, o := range append([]convolve.Response{shared}, h.own...) {
		h.tail = max(h.tail, len(o.L))
		h.gap = max(h.gap, silentBefore(o.L), silentBefore(o.R))
	}
	head := func(r convolve.Response) convolve.Response {
		return convolve.Response{L: r.L[:min(len(r.L), beginsIn)], R: r.R[:min(len(r.R), beginsIn)]}
	}
	own := make([]convolve.Response, len(h.own))
	for i, o := range h.own {
		own[i] = head(o)
	}
	h.begun = make([][]float64, len(own))
	h.first, h.err = convolve.New(own, head(shared), convolve.Options{Block: firstBlock, Single: true, Workers: h.work, Apart: h.apart})
	return h
}

// process gives left and right the sound of in; firstBlock samples at a time until beginsIn
// of them have gone by, then block.
func (h *hall) process(left, right []float64, in [][]float64) error {
	if h.first == nil {
		return h.long.Process(left, right, in...)
	}
	if h.at == firstBlock && h.work > 1 { // somebody hears the sound now
		shared := h.shared
		go func() { _, _ = shared() }()
	}
	if err := h.first.Process(left, right, in...); err != nil {
		return err
	}
	for i, x := range in {
		if x == nil {
			continue
		}
		if h.begun[i] == nil {
			h.begun[i] = make([]float64, block)
		}
		copy(h.begun[i][block-beginsIn+h.at:], x)
	}
	if h.at += firstBlock; h.at < beginsIn {
		return nil
	}
	shared, err := h.shared()
	if err != nil {
		return err
	}
	long, err := convolve.New(h.own, shared, convolve.Options{Block: block, Single: true, Workers: h.work, Apart: h.apart})
	if err != nil {
		return err
	}
	l, r := make([]float64, block), make([]float64, block)
	err = long.Process(l, r, h.begun...)
	h.long, h.first, h.begun, h.own, h.shared = long, nil, nil, nil, nil
	return err
}

// without is a less b, which is no longer.
func without(a, b convolve.Response) convolve.Response {
	less := func(x, y []float64) []float64 {
		out := slices.Clone(x)
		for i, v := range y {
			out[i] -= v
		}
		return out
	}
	return convolve.Response{L: less(a.L, b.L), R: less(a.R, b.R)}
}

// silentBefore is how many samples of x come before the first that is not zero.
func silentBefore(x []float64) int {
	for i, v := range x {
		if v != 0 {
			return i
		}
	}
	return 0
}

func asResponse(r *impulse.Response) convolve.Response {
	if r == nil {
		return convolve.Response{}
	}
	return convolve.Response{L: r.L, R: r.R}
}

// direct is the free field at the seat: a single tap of gain sqrt(ρc·1e-12/(4πd²))/20 µPa,
// d/c after the source (ISO 9613-2, geometrical divergence; no absorption by air), or with Ears what the ears make of it.
func (j *Job) direct(division int) convolve.Response {
	temp := 20.0
	if j.Room != nil {
		temp = j.Room.TempC
	}
	place, seat, c := j.Organ.Divisions[division].Place, j.Seat.At, air.SpeedOfSound(temp)
	d := math.Max(0.5, place.Distance(seat))
	gain := math.Sqrt(air.Impedance(temp)*1e-12/(4*math.Pi*d*d)) / 20e-6
	if j.Ears {
		from := geometry.Point{X: place.X - seat.X, Y: place.Y - seat.Y, Z: place.Z - seat.Z}
		heard := response.Head(from, d/c, c, j.Rate)
		for _, x := range [][]float64{heard.L, heard.R} {
			for i := range x {
				x[i] *= gain
			}
		}
		return asResponse(heard)
	}
	at := int(math.Round(d / c * float64(j.Rate)))
	h := make([]float64, at+1)
	h[at] = gain
	return convolve.Response{L: h, R: h}
}
