// Package texture makes pieces in the textures that organists play, and some that they cannot, for measurements:
// of any length, the same for the same seed. They are not meant to be listened to.
package texture

import "math/rand/v2"

// Texture is a kind of piece.
type Texture struct {
	Name      string
	Crotchets float64 // a minute
	write     func(w *writer)
}

// Textures are all kinds, from the plainest.
var Textures = []Texture{
	{"chorale", 60, chorale},
	{"trio sonata", 80, trioSonata},
	{"single line", 80, singleLine},
	{"fugue in semiquavers", 80, fugue},
	{"French toccata", 100, toccata},
	{"repeated chords", 112, repeatedChords},
	{"tremolo", 80, tremolo},
	{"glissando", 72, glissando},
	{"a dynamic at every note", 80, dynamics},
	{"64th notes", 60, sixtyFourths},
	{"line of 16 notes/s", 60, fastLine},
}

// ticks to the crotchet; a semiquaver is 120, a 64th 30.
const (
	ticks      = 480
	semiquaver = ticks / 4
)

// SMF is a piece of the texture as a Standard MIDI File of format 1, so many seconds long.
func (t Texture) SMF(seed uint64, seconds float64) []byte {
	w := &writer{rand: rand.New(rand.NewPCG(seed, 7)), end: int(seconds * t.Crotchets / 60 * ticks)}
	t.write(w)
	return w.file(t.Crotchets)
}

// chorale is four voices in crotchets and quavers, mezzo-forte, with a breath after every fourth bar.
func chorale(w *writer) {
	lines := []*line{w.line("Great soprano", 67, 79, 75), w.line("Great alto", 60, 70, 75), w.line("Great tenor", 52, 64, 75), w.line("Pedal", 38, 55, 75)}
	for at := 0; at < w.end; at += ticks {
		for _, l := range lines {
			if length := ticks * 15 / 16; w.rand.IntN(4) == 0 {
				l.play(at, length/2, l.step(2))
				l.play(at+ticks/2, length/2, l.step(2))
			} else {
				l.play(at, length, l.step(4))
			}
		}
	}
}

// trioSonata is two quick hands on two manuals over a walking Pedal.
func trioSonata(w *writer) {
	right, left, feet := w.line("Swell right", 62, 84, 70), w.line("Positive left", 55, 76, 70), w.line("Pedal", 38, 58, 70)
	for at := 0; at < w.end; at += 4 * semiquaver {
		for i, l := range []*line{right, left} {
			if (at/(16*semiquaver)+i)%2 == 0 {
				l.run(at, 4, semiquaver, 2)
			} else {
				l.run(at, 2, 2*semiquaver, 4)
			}
		}
		feet.run(at, 2, 2*semiquaver, 5)
	}
}

// singleLine is one voice in semiquavers, forte.
func singleLine(w *writer) {
	l := w.line("Great", 50, 84, 85)
	for at := 0; at < w.end; at += 4 * semiquaver {
		l.run(at, 4, semiquaver, 4)
	}
}

// fugue is four voices of which all move in semiquavers on the full organ.
func fugue(w *writer) {
	lines := []*line{w.line("Great soprano", 67, 84, 115), w.line("Great alto", 60, 74, 115), w.line("Great tenor", 50, 66, 115), w.line("Pedal", 36, 60, 115)}
	for at := 0; at < w.end; at += 4 * semiquaver {
		for _, l := range lines {
			l.run(at, 4, semiquaver, 3)
		}
	}
}

// toccata has chords broken in semiquavers between the hands, fortissimo, and long octaves in the Pedal.
func toccata(w *writer) {
	right, left, feet := w.line("Great right", 62, 84, 120), w.line("Great left", 50, 66, 120), w.line("Pedal", 36, 48, 120)
	for at := 0; at < w.end; at += 8 * semiquaver {
		root := right.step(7)
		for i := range 8 {
			when := at + i*semiquaver
			if i%2 == 0 {
				right.chord(when, semiquaver-10, root, root+4, root+7)
			} else {
				right.play(when, semiquaver-10, root+12-i%3*2)
			}
			if i%4 != 3 {
				low := left.step(3)
				left.chord(when, semiquaver-10, low, low+7)
			}
		}
		if at/(8*semiquaver)%2 == 0 {
			low := feet.step(7)
			feet.chord(at, 16*semiquaver-20, low, low+12)
		}
	}
}

// repeatedChords are seven keys in quavers over a Pedal in crotchets, fortissimo.
func repeatedChords(w *writer) {
	right, left, feet := w.line("Great right", 62, 76, 115), w.line("Great left", 48, 58, 115), w.line("Pedal", 36, 50, 115)
	for at := 0; at < w.end; at += 8 * ticks / 2 {
		high, low, foot := right.step(5), left.step(5), feet.step(5)
		for i := range 8 {
			when := at + i*ticks/2
			right.chord(when, ticks/2-60, high, high+4, high+7, high+12)
			left.chord(when, ticks/2-60, low, low+7, low+12)
			if i%2 == 0 {
				feet.play(when, ticks-60, foot)
			}
		}
	}
}

// tremolo has both hands shaking thirds and octaves in demisemiquavers, as piano reductions of orchestral strings do.
func tremolo(w *writer) {
	right, left, feet := w.line("Great right", 60, 80, 100), w.line("Great left", 48, 58, 100), w.line("Pedal", 36, 50, 100)
	const quick = semiquaver / 2
	for at := 0; at < w.end; at += 16 * quick {
		high, low := right.step(5), left.step(5)
		for i := range 16 {
			when := at + i*quick
			if i%2 == 0 {
				right.chord(when, quick-4, high, high+4)
				left.play(when, quick-4, low)
			} else {
				right.play(when, quick-4, high+9)
				left.play(when, quick-4, low+12)
			}
		}
		feet.play(at, 16*quick-30, feet.step(5))
	}
}

// glissando is scales over four octaves and back at 24 keys a second, over held chords.
func glissando(w *writer) {
	right, left, feet := w.line("Great right", 36, 84, 110), w.line("Swell left", 55, 67, 110), w.line("Pedal", 36, 50, 110)
	const quick = ticks / 20
	for at, i := 0, 0; at < w.end; at, i = at+quick, i+1 {
		k := i % 96
		right.play(at, quick, 36+min(k, 95-k))
		if k == 0 {
			low := left.step(5)
			left.chord(at, 96*quick-40, low, low+4, low+7)
			feet.play(at, 96*quick-40, feet.step(5))
		}
	}
}

// dynamics is four voices with a mark at every note.
func dynamics(w *writer) {
	lines := []*line{w.line("Great soprano", 67, 79, 80), w.line("Swell alto", 60, 70, 80), w.line("Swell tenor", 52, 64, 80), w.line("Pedal", 38, 55, 80)}
	for at := 0; at < w.end; at += ticks / 2 {
		for i, l := range lines {
			if i > 0 && at%ticks != 0 {
				continue
			}
			length := ticks / 2
			if i > 0 {
				length = ticks
			}
			l.text(at, []string{"pp", "p", "mp", "mf", "f", "ff"}[w.rand.IntN(6)])
			l.play(at, length-20, l.step(3))
		}
	}
}

// sixtyFourths is both hands in 64th notes over a slow Pedal.
func sixtyFourths(w *writer) {
	right, left, feet := w.line("Great right", 62, 88, 100), w.line("Swell left", 48, 66, 100), w.line("Pedal", 36, 50, 100)
	for at := 0; at < w.end; at += 2 * ticks {
		right.run(at, 32, ticks/16, 2)
		left.run(at, 32, ticks/16, 2)
		feet.play(at, 2*ticks-30, feet.step(5))
	}
}

// fastLine is a single voice of 16 notes a second.
func fastLine(w *writer) {
	l := w.line("Great", 48, 86, 100)
	for at := 0; at < w.end; at += ticks {
		l.run(at, 16, ticks/16, 3)
	}
}
