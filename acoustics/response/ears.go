package response

import (
	"context"
	"errors"

	"afterchord/acoustics/air"
	"afterchord/acoustics/room"
)

// ErrRecorded is the error of [Ears] for a measured room.
var ErrRecorded = errors.New("a recorded response has the ears that it was recorded with, and cannot be given others")

// CheckEars is nil where [Ears] works.
func CheckEars(r *room.Room) error {
	if r.Measured != nil {
		return ErrRecorded
	}
	return nil
}

// Ears is [Pair] for headphones: what the two ears of a listener hear who sits at seat and faces the
// organ, a rigid sphere for a head. The direct sound and each reflection of the box arrive as [Head] has them, from
// where they come; the tail has the coherence of a rigid sphere in a diffuse field. The mean energy of the two
// ears is that of [room.Room.Path] in each octave band, as without a head.
//
// There are no pinnae, no shoulders and no movement of the head in it, and one head stands for all: left and right are told,
// above and below or before and behind are not. A measured room gives [ErrRecorded]; else it errs as ctx does.
func Ears(ctx context.Context, r *room.Room, sources []Source, seat room.Seat, rate int) (early []Early, late *Tail, err error) {
	if err := CheckEars(r); err != nil {
		return nil, nil, err
	}
	c := air.SpeedOfSound(r.TempC)
	if late, err = lateBy(ctx, r, seat, rate, betweenEars(c)); err != nil {
		return nil, nil, err
	}
	return allEarly(r, sources, seat, rate, late, sphere(c, rate)), late, nil
}
