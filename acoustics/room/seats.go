package room

import (
	"errors"
	"fmt"
	"strings"

	"afterchord/acoustics/geometry"
)

// seats replaces the default seats where the file names its own; a console is kept.
func (doc *roomDoc) seats(r *Room, at func(string, int, string, error) error) error {
	if doc.Seat == nil {
		return nil
	}
	const maxSeats = 100
	if len(doc.Seat) > maxSeats {
		return at("seat", maxSeats, "", fmt.Errorf("more than %d seats", maxSeats))
	}
	console := r.Seats[0]
	var seats []Seat
	for i, s := range doc.Seat {
		name := strings.ToLower(strings.TrimSpace(s.Name))
		if name == "" || len(s.At) != 3 {
			return at("seat", i, "", errors.New("a seat needs a name and at = [right, from the organ, up] in m"))
		}
		for _, other := range seats {
			if other.Name == name {
				return at("seat", i, "name", fmt.Errorf("seat %q is named twice", name))
			}
		}
		p := geometry.Point{X: s.At[0], Y: s.At[1], Z: s.At[2]}
		if !(p.X >= -r.SizeM[1]/2 && p.X <= r.SizeM[1]/2 && p.Y >= -20 && p.Y <= r.SizeM[0] && p.Z >= 0 && p.Z <= r.SizeM[2]) {
			return at("seat", i, "at", fmt.Errorf("seat %q lies outside the room of %.1f x %.1f x %.1f m",
				name, r.SizeM[0], r.SizeM[1], r.SizeM[2]))
		}
		seats = append(seats, Seat{name, p})
	}
	has := func(name string) bool {
		for _, s := range seats {
			if s.Name == name {
				return true
			}
		}
		return false
	}
	if !has("console") {
		seats = append([]Seat{console}, seats...)
	}
	r.Seats = seats
	return nil
}
