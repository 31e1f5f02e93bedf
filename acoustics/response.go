package acoustics

import (
	"sync"

	"afterchord/acoustics/geometry"
)

// Responses is the [Room.EarlyResponse] of each source and the [Room.LateResponse] that they share.
func (r *Room) Responses(sources []geometry.Point, seat Seat, rate int) (early []*Response, late *Response) {
	late = r.LateResponse(seat, rate)
	return r.allEarly(sources, seat, rate, late, stereoPair(SpeedOfSound(r.TempC), rate)), late
}

func (r *Room) allEarly(sources []geometry.Point, seat Seat, rate int, late *Response, hear receiver) []*Response {
	early := make([]*Response, len(sources))
	var wg sync.WaitGroup
	for i, s := range sources {
		wg.Go(func() { early[i] = r.early(s, seat, rate, late, hear) })
	}
	wg.Wait()
	return early
}

// Response is the stereo impulse response from source to seat at rate (Hz): the sum of
// [Room.EarlyResponse] and [Room.LateResponse]. Its mean energy over left and right agrees with
// [Room.Path] in each octave band.
func (r *Room) Response(source geometry.Point, seat Seat, rate int) *Response {
	parts, late := r.Responses([]geometry.Point{source}, seat, rate)
	early := parts[0]
	n := max(len(early.L), len(late.L))
	sum := &Response{Rate: rate, L: make([]float64, n), R: make([]float64, n)}
	copy(sum.L, late.L)
	copy(sum.R, late.R)
	for i := range early.L {
		sum.L[i] += early.L[i]
		sum.R[i] += early.R[i]
	}
	return sum
}
