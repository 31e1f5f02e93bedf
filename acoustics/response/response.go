// Package response computes what an impulse at the organ sounds like at a seat of a room: the direct sound, the first
// reflections of a box and a dense tail, at a stereo pair or at two ears. Its energy in each octave band is that of
// [room.Room.Path].
package response

import (
	"afterchord/acoustics/air"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/impulse"
	"afterchord/acoustics/parallel"
	"afterchord/acoustics/room"
)

// Pair is the early part of each source, the direct sound and the first reflections, and the [Late] that they share.
func Pair(r *room.Room, sources []geometry.Point, seat room.Seat, rate int) (early []*impulse.Response, late *impulse.Response) {
	late = Late(r, seat, rate)
	return allEarly(r, sources, seat, rate, late, stereoPair(air.SpeedOfSound(r.TempC), rate)), late
}

func allEarly(r *room.Room, sources []geometry.Point, seat room.Seat, rate int, late *impulse.Response, hear receiver) []*impulse.Response {
	early := make([]*impulse.Response, len(sources))
	parallel.Do(0, len(sources), func(i int) { early[i] = earlyBy(r, sources[i], seat, rate, late, hear) })
	return early
}

// Whole is the stereo impulse response from source to seat at rate (Hz): the sum of
// the early part and [Late]. Its mean energy over left and right agrees with
// [room.Room.Path] in each octave band.
func Whole(r *room.Room, source geometry.Point, seat room.Seat, rate int) *impulse.Response {
	parts, late := Pair(r, []geometry.Point{source}, seat, rate)
	early := parts[0]
	n := max(len(early.L), len(late.L))
	sum := &impulse.Response{Rate: rate, L: make([]float64, n), R: make([]float64, n)}
	copy(sum.L, late.L)
	copy(sum.R, late.R)
	for i := range early.L {
		sum.L[i] += early.L[i]
		sum.R[i] += early.R[i]
	}
	return sum
}
