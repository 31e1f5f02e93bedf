package acoustics

import "afterchord/acoustics/geometry"

// Response is the stereo impulse response from source to seat at rate (Hz): the sum of
// [Room.EarlyResponse] and [Room.LateResponse]. Its mean energy over left and right agrees with
// [Room.Path] in each octave band.
func (r *Room) Response(source geometry.Point, seat Seat, rate int) *Response {
	early, late := r.EarlyResponse(source, seat, rate), r.LateResponse(seat, rate)
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
