package room

import (
	"fmt"
	"strconv"
	"strings"

	"afterchord/acoustics/air"
	"afterchord/acoustics/measure"
)

// floorPerSeatM2 is the floor that one place takes in a full nave, aisles and chancel counted, m² (common practice: 0.5 to
// 0.7 m² for the pew alone, and much of the floor is walked on or bare).
const floorPerSeatM2 = 2.0

// Capacity is how many people the room seats, as its floor has place for them.
func (r *Room) Capacity() int { return capacityOf(r.SizeM) }

// capacityOf is how many people have place on the floor of a box of that length and width, m.
func capacityOf(size [3]float64) int { return int(size[0] * size[1] / floorPerSeatM2) }

// WithPeople is the room with so many people seated in it: each adds [PersonArea] to the absorption area that the room's
// times imply (Sabine). The room is taken to be empty. A measured response loses in each octave band what they take up; the volume counts
// for that, which is a guess from the reverberation time where no room file gives it, and a caution says so.
func (r *Room) WithPeople(people int) (*Room, error) {
	switch {
	case people < 0 || people > max(1, 2*r.Capacity()):
		return nil, fmt.Errorf("%d people: %s seats about %d; give 0 to %d", people, r.Name, r.Capacity(), 2*r.Capacity())
	case people == 0:
		return r, nil
	}
	full := *r
	full.people = r.people + people
	if full.empty == nil {
		full.empty = &r.RT60
	}
	c, area := air.SpeedOfSound(r.TempC), PersonArea()
	for b, t := range r.RT60 {
		area[b] *= float64(people)
		full.RT60[b] = sooner(t, area[b], r.VolumeM3, c)
	}
	full.Title = fmt.Sprintf("%s with %d people", r.Title, people)
	if r.Measured == nil {
		return &full, nil
	}
	onset, err := measure.Onset(r.Measured.L, r.Measured.Rate)
	if err != nil {
		onset = 0 // the sound begins at once
	}
	full.Measured = absorbed(r.Measured, onset, area, r.VolumeM3, c)
	full.fit = fitResponse(full.Measured, full.RT60)
	full.Cautions = append(append([]string(nil), r.Cautions...),
		fmt.Sprintf("the people are computed: the recording is taken to be of the empty room, of %.0f m³", r.VolumeM3))
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
