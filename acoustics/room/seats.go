package room

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"afterchord/acoustics/geometry"
)

// seats replaces the default seats where the file names its own; a console is kept.
func (doc *roomDoc) seats(r *Room, at place) {
	if doc.Seat == nil {
		return
	}
	const maxSeats = 100
	if len(doc.Seat) > maxSeats {
		at("seat", maxSeats, "", fmt.Errorf("more than %d seats", maxSeats))
		return
	}
	console := r.Seats[0]
	var seats []Seat
	for i, s := range doc.Seat {
		name := strings.ToLower(strings.TrimSpace(s.Name))
		if name == "" || len(s.At) != 3 {
			at("seat", i, "", errors.New("a seat needs a name and at = [right, from the organ, up] in m"))
			continue
		}
		if hasSeat(seats, name) {
			at("seat", i, "name", fmt.Errorf("seat %q is named twice; give each its own name", name))
			continue
		}
		p := geometry.Point{X: s.At[0], Y: s.At[1], Z: s.At[2]}
		if !(p.X >= -r.SizeM[1]/2 && p.X <= r.SizeM[1]/2 && p.Y >= -20 && p.Y <= r.SizeM[0] && p.Z >= 0 && p.Z <= r.SizeM[2]) {
			at("seat", i, "at", fmt.Errorf("seat %q lies outside the room of %.1f x %.1f x %.1f m; at = [right, from the organ, up] in m",
				name, r.SizeM[0], r.SizeM[1], r.SizeM[2]))
			continue
		}
		seats = append(seats, Seat{name, p})
	}
	if !hasSeat(seats, "console") {
		seats = append([]Seat{console}, seats...)
	}
	r.Seats = seats
}

func hasSeat(seats []Seat, name string) bool {
	return slices.ContainsFunc(seats, func(s Seat) bool { return s.Name == name })
}
