package room

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"afterchord/acoustics/air"
	"afterchord/acoustics/decay"
)

// floorPerSeatM2 is the floor that one place takes in a full nave, aisles and chancel counted, m² (common practice: 0.5 to
// 0.7 m² for the pew alone, and much of the floor is walked on or bare).
const floorPerSeatM2 = 2.0

// ErrRecordedPeople is the error of [Room.WithPeople] for a measured room.
var ErrRecordedPeople = errors.New("a recorded response holds the people who were there, and cannot be given others")

// Capacity is how many people the room seats, as its floor has place for them.
func (r *Room) Capacity() int { return int(r.SizeM[0] * r.SizeM[1] / floorPerSeatM2) }

// WithPeople is the room with so many people seated in it: each adds [PersonArea] to the absorption area that the room's
// times imply (Sabine). The room is taken to be empty.
func (r *Room) WithPeople(people int) (*Room, error) {
	switch {
	case people < 0 || people > max(1, 2*r.Capacity()):
		return nil, fmt.Errorf("%d people: %s seats about %d; give 0 to %d", people, r.Name, r.Capacity(), 2*r.Capacity())
	case people == 0:
		return r, nil
	case r.Measured != nil:
		return nil, ErrRecordedPeople
	}
	full := *r
	c, person := air.SpeedOfSound(r.TempC), PersonArea()
	for b, t := range r.RT60 {
		area := decay.EquivalentArea(r.VolumeM3, t, c) + float64(people)*person[b]
		full.RT60[b] = math.Max(0.05, decay.Sabine(r.VolumeM3, area, c))
	}
	full.Title = fmt.Sprintf("%s with %d people", r.Title, people)
	return &full, nil
}

// ParsePeople reads how many people are in the room: a number, or empty, half or full of its [Room.Capacity].
func (r *Room) ParsePeople(s string) (int, error) {
	switch text := strings.ToLower(strings.TrimSpace(s)); text {
	case "", "empty":
		return 0, nil
	case "half":
		return r.Capacity() / 2, nil
	case "full":
		return r.Capacity(), nil
	default:
		n, err := strconv.Atoi(text)
		if err != nil || n < 0 {
			return 0, fmt.Errorf("people %q: give a number, or empty, half or full", s)
		}
		return n, nil
	}
}
