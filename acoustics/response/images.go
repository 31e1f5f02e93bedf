package response

import (
	"math"

	"afterchord/acoustics/air"
	"afterchord/acoustics/decay"
	"afterchord/acoustics/geometry"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
)

// imageOrder is the highest order of reflection computed from the box.
const imageOrder = 5

// reflection is one arrival from an image source.
type reflection struct {
	delayS float64
	from   geometry.Point // of the image, m re the listener
	order  int
	power  float64 // 1/(4πd²), 1/m²
	metres float64
}

// images lists the arrivals of orders 1..imageOrder within window s after the direct
// sound, in the box of length, width and height that stands before the organ's front
// (Allen & Berkley, J. Acoust. Soc. Am. 65 (1979) 943). A source behind the front or outside the
// box reflects as if it stood just inside.
func images(r *room.Room, source geometry.Point, seat room.Seat, window float64) []reflection {
	c := air.SpeedOfSound(r.TempC)
	size := [3]float64{r.SizeM[1], r.SizeM[0], r.SizeM[2]}
	inside := func(v, length float64) float64 { return min(max(v, 0.05*length), 0.95*length) }
	// Coordinates from the corner: x from the left wall, y from the organ's front.
	s := [3]float64{inside(source.X+size[0]/2, size[0]), inside(source.Y, size[1]), inside(source.Z, size[2])}
	e := [3]float64{inside(seat.At.X+size[0]/2, size[0]), inside(seat.At.Y, size[1]), inside(seat.At.Z, size[2])}
	direct := max(room.MinDistance, source.Distance(seat.At)) / c
	axis := func(i, n int) float64 { // the n-th image along one axis, re the listener
		if n%2 == 0 {
			return float64(n)*size[i] + s[i] - e[i]
		}
		return float64(n+1)*size[i] - s[i] - e[i]
	}
	var out []reflection
	for nx := -imageOrder; nx <= imageOrder; nx++ {
		for ny := -imageOrder; ny <= imageOrder; ny++ {
			for nz := -imageOrder; nz <= imageOrder; nz++ {
				order := abs(nx) + abs(ny) + abs(nz)
				if order == 0 || order > imageOrder {
					continue
				}
				x, y, z := axis(0, nx), axis(1, ny), axis(2, nz)
				d := max(room.MinDistance, math.Sqrt(x*x+y*y+z*z))
				delay := max(d/c, direct)
				if delay-direct > window {
					continue
				}
				out = append(out, reflection{delay, geometry.Point{X: x, Y: y, Z: z}, order, 1 / (4 * math.Pi * d * d), d})
			}
		}
	}
	return out
}

// wallReflectance is the energy that a wall returns per octave band: 1−α with the α
// that Eyring's formula gives for the room's times.
func wallReflectance(r *room.Room) octave.Bands {
	l, w, h := r.SizeM[0], r.SizeM[1], r.SizeM[2]
	surface := 2 * (l*w + l*h + w*h)
	c, m := air.SpeedOfSound(r.TempC), air.Attenuation(r.TempC, r.Humidity)
	var out octave.Bands
	for i, t := range r.RT60 {
		out[i] = 1 - decay.EyringAlpha(r.VolumeM3, surface, t, m[i], c)
	}
	return out
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
