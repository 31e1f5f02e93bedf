package acoustics

import (
	"errors"

	"afterchord/acoustics/geometry"
)

// ErrRecorded is the error of [Room.EarResponses] for a measured room.
var ErrRecorded = errors.New("a recorded response has the ears that it was recorded with, and cannot be given others")

// CheckEars is nil where [Room.EarResponses] works.
func (r *Room) CheckEars() error {
	if r.Measured != nil {
		return ErrRecorded
	}
	return nil
}

// EarResponses is [Room.Responses] for headphones: what the two ears of a listener hear who sits at seat and faces the
// organ, a rigid sphere for a head. The direct sound and each reflection of the box arrive as [HeadResponse] has them, from
// where they come; the tail has the coherence of [DiffuseCoherence]. The mean energy of the two
// ears is that of [Room.Path] in each octave band, as without a head.
//
// There are no pinnae, no shoulders and no movement of the head in it, and one head stands for all: left and right are told,
// above and below or before and behind are not. A measured room gives [ErrRecorded].
func (r *Room) EarResponses(sources []geometry.Point, seat Seat, rate int) (early []*Response, late *Response, err error) {
	if err := r.CheckEars(); err != nil {
		return nil, nil, err
	}
	c := SpeedOfSound(r.TempC)
	late = r.late(seat, rate, func(left, right []tailSpectrum) { mixForEars(left, right, c, rate) })
	return r.allEarly(sources, seat, rate, late, sphere(c, rate)), late, nil
}
