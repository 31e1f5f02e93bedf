// Package geometry holds places in a building.
package geometry

import "math"

// Point is a place in metres as seen by a listener who faces the organ: X to the
// right of the middle, Y from the organ's front into the room (negative: behind the
// front), Z above the floor.
type Point struct{ X, Y, Z float64 }

// Distance is the straight line from p to q, m.
func (p Point) Distance(q Point) float64 {
	return math.Sqrt((p.X-q.X)*(p.X-q.X) + (p.Y-q.Y)*(p.Y-q.Y) + (p.Z-q.Z)*(p.Z-q.Z))
}
