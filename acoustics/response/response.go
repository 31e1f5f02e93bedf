// Package response computes what an impulse at the organ sounds like at a seat of a room: the direct sound, the first
// reflections of a box and a dense tail, at a stereo pair or at two ears. Its energy in each octave band is that of
// [room.Room.Path].
package response

import (
	"context"

	"afterchord/acoustics/air"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/parallel"
	"afterchord/acoustics/radiation"
	"afterchord/acoustics/room"
)

// Source is a place where sound comes from.
type Source struct {
	At     geometry.Point
	InCase bool // it points ([radiation.Toward]); else it sends as much into all directions
}

// toward is how much stronger its direct sound is at seat than that of a source that sends as much into all directions.
func (s Source) toward(r *room.Room, seat room.Seat) octave.Bands {
	if !s.InCase || r.Measured != nil {
		return octave.Flat(1)
	}
	return radiation.Toward(r.Ahead(s.At, seat), 0)
}

// Early is what comes first from a source.
type Early struct {
	Direct    *impulse.Response // nil in a measured room, where the two cannot be told apart
	Reflected *impulse.Response
}

// Whole is both together.
func (e Early) Whole() *impulse.Response {
	if e.Direct == nil {
		return e.Reflected
	}
	return sum(e.Direct, e.Reflected)
}

// sum is a new response.
func sum(a, b *impulse.Response) *impulse.Response {
	add := func(x, y []float64) []float64 {
		out := make([]float64, max(len(x), len(y)))
		copy(out, x)
		for i, v := range y {
			out[i] += v
		}
		return out
	}
	return &impulse.Response{Rate: a.Rate, L: add(a.L, b.L), R: add(a.R, b.R)}
}

// Pair is the early part of each source, the direct sound and the first reflections, and the [Late] that they share. It errs as ctx does.
func Pair(ctx context.Context, r *room.Room, sources []Source, seat room.Seat, rate int) (early []Early, late *Tail, err error) {
	if late, err = Late(ctx, r, seat, rate); err != nil {
		return nil, nil, err
	}
	return allEarly(r, sources, seat, rate, late, stereoPair(air.SpeedOfSound(r.TempC), rate)), late, nil
}

func allEarly(r *room.Room, sources []Source, seat room.Seat, rate int, late *Tail, hear receiver) []Early {
	early := make([]Early, len(sources))
	parallel.Do(0, len(sources), func(i int) { early[i] = earlyBy(r, sources[i], seat, rate, late.begun, hear) })
	return early
}

// Whole is the stereo impulse response from source to seat at rate (Hz): the sum of
// the early part and [Late]. Its mean energy over left and right agrees with
// [room.Room.Path] in each octave band; the source sends as much into all directions.
func Whole(r *room.Room, source geometry.Point, seat room.Seat, rate int) *impulse.Response {
	return whole(r, Source{At: source}, seat, rate)
}

// Organ is [Whole] of the organ's middle in its case; it agrees with [room.Room.OrganPath].
func Organ(r *room.Room, seat room.Seat, rate int) *impulse.Response {
	return whole(r, Source{At: r.OrganMiddle(), InCase: true}, seat, rate)
}

func whole(r *room.Room, source Source, seat room.Seat, rate int) *impulse.Response {
	early, late, _ := Pair(context.Background(), r, []Source{source}, seat, rate) // nobody breaks it off
	tail, _ := late.Whole(context.Background())
	return sum(tail, early[0].Whole())
}
