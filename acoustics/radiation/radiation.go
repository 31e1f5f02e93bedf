// Package radiation is how an organ points: how much stronger the sound is that goes straight to a seat than it would be from a source
// that sends as much into all directions.
package radiation

import "afterchord/acoustics/octave"

// lean is how much stronger than the mean over all directions the sound straight ahead of an open case is, in each octave band. The pipes stand
// before the back wall of a case that is a few metres wide, so there is little of it in the lowest band and, from the middle on, nearly what a
// source in a wall has (3 dB). A working figure: no published measurement of a case was found.
var lean = octave.Bands{0.1, 0.2, 0.35, 0.5, 0.6, 0.7, 0.75, 0.8, 0.85}

// turned is how much of lean a shut swell box has: the shades turn their backs on the nave and what is heard comes through gaps and walls,
// a little more of it from behind and above than from ahead. A working figure, too.
const turned = -0.4

// Toward is the intensity that an organ case radiates into a direction re the mean over all directions, in each octave band: a power
// that points, 1 + b·cos. cos is the cosine of the angle between the direction and the case's front, and shut is how far the swell box
// in which the pipes stand is shut, 0 where there is none or it stands open, 1 shut. The mean over all directions is 1, so the reverberant field
// and the power stay what they are.
func Toward(cos, shut float64) (b octave.Bands) {
	for i, ahead := range lean {
		b[i] = 1 + ahead*(1+(turned-1)*shut)*cos
	}
	return b
}
