package main

import "afterchord/sim/score"

// The divisions of the demo pieces, in track order.
const (
	great = iota
	swell
	pedal
)

var pieces = []piece{drop, dotted, solo, ferry, brook, carillon, stride, tide, dawn, harvest, forge}

// drop: six bars of full chords on Great and Pedal that stop on the dominant,
// and a quiet answer on the Swell that comes without a breath.
var drop = piece{
	file: "drop.mid", title: "Threshold (sudden piano after full chords)", tempo: 76,
	lines: []line{
		{name: "Great", marks: []mark{{1, score.FF}}},
		{name: "Swell", marks: []mark{{7, score.P}}},
		{name: "Pedal", marks: []mark{{1, score.FF}, {7, score.P}}},
	},
	voices: []voice{
		{great, 1, "D5h E5q F5q | G5h F5q E5q | D5h Eb5h | D5h C#5h | D5h D5q D5q | C#5w"},
		{great, 1, "A4h A4q A4q | Bb4h A4h    | F4h G4h  | F4h E4h  | F4h G4q F4q | E4w"},
		{great, 1, "F4h E4q D4q | D4h D4q C#4q | D4h Bb3h | A3h A3h | A3h Bb3q B3q | A3w"},
		{pedal, 1, "D3h C#3q D3q | G2h A2h | Bb2h G2h | A2h A2h | D2h G2q G#2q | A2w"},

		{swell, 7, "D5q Eb5e D5e C5h | Bb4q C5e Bb4e Bb4h | A4q Bb4e C5e A4h | Bb4h Bb4h | A4h G4h | F#4w"},
		{swell, 7, "F4h F4h | G4h G4h | F4h F4h | F4h G4h | F4h E4h | D4w"},
		{swell, 7, "Bb3h C4h | D4h Eb4h | C4h C4h | Bb3h D4h | D4h C#4h | A3w"},
		{pedal, 7, "Bb2h A2h | G2h Eb2h | F2h Eb2h | D2h G2h | A2h A2h | D2w"},
	},
}

// dotted: a quick dotted figure in the lowest octave of the pedal, with repeated
// notes and leaps, under slow chords.
var dotted = piece{
	file: "dotted.mid", title: "Undertow (dotted pedal figure)", tempo: 116,
	lines: []line{
		{name: "Great", marks: []mark{{1, score.F}}},
		{name: "Swell"},
		{name: "Pedal", marks: []mark{{1, score.F}}},
	},
	voices: []voice{
		{great, 1, "C5h Eb5h | F5q. Eb5e D5h | D5h F5h | Eb5h C5h | C5h C5h | Db5h C5h | B4h D5h | C5h C5h | C5h B4h | C5w"},
		{great, 1, "G4h G4h | Ab4h Ab4h | G4h G4h | G4h G4h | Ab4h Ab4h | Ab4h A4h | G4h G4h | Eb4h D4h | Eb4h D4h | Eb4w"},
		{great, 1, "Eb4h C4h | C4h C4h | B3h B3h | C4h C4h | Eb4h F4h | F4h Eb4h | D4h B3h | C4h Ab3h | G3h G3h | G3w"},
		{pedal, 1, "C2e. C2s C2e. G2s Eb2e. C2s G2e. G2s | F2e. F2s F2e. C3s Ab2e. F2s Ab2e. Ab2s |" +
			"G2e. G2s G2e. D2s G2e. G2s D2e. G2s | C2e. C2s Eb2e. G2s C3e. G2s Eb2e. C2s |" +
			"Ab2e. Ab2s Eb2e. Ab2s F2e. F2s C2e. F2s | F2e. F2s Ab2e. F2s F#2e. F#2s A2e. F#2s |" +
			"G2e. G2s G2e. G2s G2e. D2s G2e. G2s | Ab2e. Ab2s C3e. Ab2s F2e. F2s D2e. F2s |" +
			"G2e. G2s G2e. G2s G2e. D2s G2e. G2s | C2w"},
	},
}

// solo: a melody on the Swell, two marks above the broken chords on the Great: enough in a
// dry room, not where the chords pile up.
var solo = piece{
	file: "solo.mid", title: "Lantern (melody over broken chords)", tempo: 66,
	lines: []line{
		{name: "Great", marks: []mark{{1, score.P}}},
		{name: "Swell", marks: []mark{{1, score.MF}}},
		{name: "Pedal", marks: []mark{{1, score.P}}},
	},
	voices: []voice{
		{swell, 1, "C5h. D5e C5e | F5h E5q D5q | D5q. Bb4e C5h | A4h. C5q | D5h F5q D5q | C5h A4q D5q |" +
			"D5q. F5e E5h | G5h E5q Bb4q | A4h C5q Eb5q | D5h Db5h | C5h Bb4q. G4e | F4w"},
		{great, 1, "F3e C4e A3e C4e F3e C4e A3e C4e | F3e D4e A3e D4e F3e D4e A3e D4e |" +
			"G3e D4e Bb3e D4e E3e Bb3e G3e Bb3e | F3e C4e A3e C4e F3e Eb4e A3e Eb4e |" +
			"F3e D4e Bb3e D4e F3e D4e Bb3e D4e | F3e C4e A3e C4e F3e D4e A3e D4e |" +
			"F3e D4e G3e D4e E3e C4e G3e C4e | E3e C4e G3e C4e E3e Bb3e G3e Bb3e |" +
			"F3e C4e A3e C4e F3e Eb4e C4e Eb4e | F3e D4e Bb3e D4e F3e Db4e Bb3e Db4e |" +
			"F3e C4e A3e C4e E3e Bb3e G3e Bb3e | F3e C4e A3e C4e C4h"},
		{great, 12, "Rh A3h"},
		{great, 12, "Rh F3h"},
		{pedal, 1, "F2w | D2w | G2h C2h | F2w | Bb2w | A2h D2h | B2h C3h | C2w | F2h A2h | Bb2w | C3h C2h | F2w"},
	},
}
