package main

import "afterchord/sim/score"

// The coach's cases, each in a small scene of our own.

var hands = []line{{name: "Right hand"}, {name: "Left hand"}}

func withMarks(names []line, marks []mark) []line {
	out := make([]line, len(names))
	for i, l := range names {
		l.marks = marks
		out[i] = l
	}
	return out
}

// ferry: a tune over rocking chords, all on one manual at one mark.
var ferry = piece{
	file: "ferry.mid", title: "Ferry (a tune with no sound of its own)", tempo: 72,
	lines: withMarks(hands, []mark{{1, score.MF}}),
	voices: []voice{
		{0, 1, "B4q. C5e D5h | G5h F#5q D5q | E5q. D5e C5q A4q | B4h. D5q | E5q G5q F#5q E5q | D5h B4q G4q | A4q. B4e C5q F#4q | G4w"},
		{1, 1, "G3e D4e B3e D4e G3e D4e B3e D4e | G3e D4e B3e D4e F#3e D4e A3e D4e | E3e C4e A3e C4e E3e C4e A3e C4e | G3e D4e B3e D4e G3e D4e B3e D4e |" +
			"E3e C4e G3e C4e E3e C4e G3e C4e | G3e D4e B3e D4e G3e D4e B3e D4e | F#3e C4e A3e C4e F#3e C4e A3e C4e | G3h D4h"},
	},
}

// brook: broken chords in one hand with nothing held, one harmony for two bars and then a change in each.
var brook = piece{
	file: "brook.mid", title: "Brook (broken chords, nothing held)", tempo: 92,
	lines: withMarks(hands, []mark{{1, score.MP}}),
	voices: []voice{
		{0, 1, "Rw | Rw | C5q Rq E5q Rq | D5q Rq Rh | C5q Rq A4q Rq | D5q Rq B4q Rq | E5q Rq D5q Rq | C5h Rh"},
		{1, 1, "C4e E4e G4e E4e C4e E4e G4e E4e | C4e E4e G4e E4e C4e E4e G4e E4e | C4e E4e A4e E4e C4e E4e A4e E4e | B3e D4e G4e D4e B3e D4e G4e D4e |" +
			"A3e C4e F4e C4e A3e C4e F4e C4e | B3e D4e F4e D4e B3e D4e F4e D4e | C4e E4e G4e E4e B3e D4e G4e D4e | C4e E4e G4e E4e C4h"},
	},
}

// carillon: a right hand in short octaves over held chords.
var carillon = piece{
	file: "carillon.mid", title: "Carillon (octaves in one hand)", tempo: 108,
	lines: withMarks(hands, []mark{{1, score.F}}),
	voices: []voice{
		{0, 1, "D5e F#5e A5e F#5e B5e A5e F#5e D5e | E5e F#5e G5e E5e A5e G5e F#5e E5e | F#5e A5e D5e F#5e G5e B5e A5e G5e | F#5e E5e D5e C#5e D5q A4q |" +
			"B4e D5e G5e D5e A4e C#5e E5e C#5e | D5e F#5e B5e A5e G5e F#5e E5e D5e | C#5e E5e A5e G5e F#5e E5e D5e C#5e | D5h D5h"},
		{0, 1, "D4e F#4e A4e F#4e B4e A4e F#4e D4e | E4e F#4e G4e E4e A4e G4e F#4e E4e | F#4e A4e D4e F#4e G4e B4e A4e G4e | F#4e E4e D4e C#4e D4q A3q |" +
			"B3e D4e G4e D4e A3e C#4e E4e C#4e | D4e F#4e B4e A4e G4e F#4e E4e D4e | C#4e E4e A4e G4e F#4e E4e D4e C#4e | D4h D4h"},
		{1, 1, "D3w | A2w | D3h G3h | A3h D3h | G3h A3h | B2h G3h | A3w | D3w"},
		{1, 1, "F#3w | E3w | F#3h B3h | C#4h F#3h | B3h C#4h | D3h B3h | C#4w | F#3w"},
	},
}

// stride: the pedal strides in octaves under a slur, the left hand along with it an octave above, with the couplers of a
// loud registration drawn.
var stride = piece{
	file: "stride.mid", title: "Stride (pedal in octaves, the left hand doubling it)", tempo: 84,
	lines: withMarks([]line{{name: "Right hand"}, {name: "Left hand"}, {name: "Pedal"}}, []mark{{1, score.FF}}),
	voices: []voice{
		{0, 1, "Bb4h C5h | D5h Bb4h | Eb5h D5h | C5w | D5h Eb5h | F5h D5h | C5h A4h | Bb4w"},
		{0, 1, "F4h F4h | F4h G4h | G4h F4h | F4w | F4h G4h | F4h F4h | Eb4h Eb4h | D4w"},
		{0, 1, "D4h Eb4h | Bb3h D4h | C4h Bb3h | A3w | Bb3h Bb3h | D4h Bb3h | A3h C4h | Bb3w"},
		{1, 1, "Bb2q F3q A2q F3q | Bb2q F3q G2q D3q | C3q G2q Bb2q F3q | F2q C3q A2q F3q | Bb2q F3q Eb3q Bb2q | D3q Bb2q G2q D3q | C3q F2q C3q F2q | Bb2w"},
		{2, 1, "Bb2q F3q A2q F3q | Bb2q F3q G2q D3q | C3q G2q Bb2q F3q | F2q C3q A2q F3q | Bb2q F3q Eb3q Bb2q | D3q Bb2q G2q D3q | C3q F2q C3q F2q | Bb2w"},
		{2, 1, "Bb3q F4q A3q F4q | Bb3q F4q G3q D4q | C4q G3q Bb3q F4q | F3q C4q A3q F4q | Bb3q F4q Eb4q Bb3q | D4q Bb3q G3q D4q | C4q F3q C4q F3q | Bb3w"},
	},
}

// tide: the Swell is to grow while both feet run.
var tide = piece{
	file: "tide.mid", title: "Tide (a crescendo while both feet play)", tempo: 76,
	lines: []line{{name: "Swell", marks: []mark{{1, score.P}, {6, score.F}}, swells: []int{3}}, {name: "Pedal", marks: []mark{{1, score.MP}}}},
	voices: []voice{
		{0, 1, "C5w | C5h D5h | Eb5w | D5h F5h | Eb5h G5h | Ab5w | G5h F5h | Eb5w"},
		{0, 1, "G4w | Ab4h Ab4h | G4w | Ab4h Ab4h | G4h Bb4h | C5w | Bb4h Ab4h | G4w"},
		{0, 1, "Eb4w | F4h F4h | C4w | F4h D4h | Eb4h Eb4h | Eb4w | Eb4h D4h | C4w"},
		{1, 1, "C2e G3e Eb2e G3e C3e Eb3e G2e C3e | F2e C4e Ab2e F3e Bb2e D4e F2e Bb3e | C2e Eb3e G2e C4e Eb2e G3e C3e Eb3e | Bb2e F3e D2e Bb3e F2e D3e Bb2e F3e |" +
			"Eb2e Bb3e G2e Eb3e Bb2e G3e Eb2e Bb3e | Ab2e Eb3e C2e Ab3e Eb2e C4e Ab2e Eb3e | Bb2e G3e Eb2e Bb3e Bb2e D4e F2e Ab3e | C3w"},
	},
}

// dawn: louder and louder while the chord is held.
var dawn = piece{
	file: "dawn.mid", title: "Dawn (a crescendo by stops under held chords)", tempo: 60,
	lines: withMarks([]line{{name: "Right hand", steps: dawnSteps}, {name: "Left hand", steps: dawnSteps}, {name: "Pedal", steps: dawnSteps}}, []mark{{1, score.P}}),
	voices: []voice{
		{0, 1, "A4w | B4w | C#5w | D5w | E5w | E5w"},
		{0, 1, "E4w | E4w | E4w | A4w | B4w | C#5w"},
		{0, 1, "C#4w | D4w | A3w | F#4w | G#4w | A4w"},
		{1, 1, "A3w | G#3w | A3w | A3w | B3w | A3w"},
		{1, 1, "E3w | E3w | E3w | D3w | E3w | E3w"},
		{2, 1, "A2w | E2w | A2w | D2w | E2w | A2w"},
	},
}

var dawnSteps = []step{{2, 3, score.MF}, {4, 3, score.FF}}

// harvest: full chords and at once a quiet answer on the same keys: many stops, and no hand free.
var harvest = piece{
	file: "harvest.mid", title: "Harvest (a drop with many stops)", tempo: 80,
	lines: withMarks([]line{{name: "Right hand"}, {name: "Left hand"}, {name: "Pedal"}}, []mark{{1, score.FF}, {5, score.P}}),
	voices: []voice{
		{0, 1, "F5q F5q G5q A5q | Bb5h A5h | G5q G5q A5q G5q | F5h E5h | F5q E5q D5q C5q | D5h C5h | Bb4q C5q A4q G4q | F4w"},
		{0, 1, "C5q C5q C5q F5q | F5h F5h | D5q D5q F5q E5q | C5h C5h | A4q A4q Bb4q A4q | Bb4h A4h | G4q G4q F4q E4q | C4w"},
		{0, 1, "A4q A4q Bb4q C5q | D5h C5h | Bb4q Bb4q C5q C5q | A4h G4h | F4q F4q F4q F4q | F4h F4h | D4q E4q C4q C4q | A3w"},
		{1, 1, "F3q F3q E3q F3q | Bb3h F3h | G3q G3q C4q C4q | F3h C3h | D3q C3q Bb3q F3q | Bb3h F3h | G3q C3q C3q C3q | F3w"},
		{2, 1, "F2q F2q E2q F2q | Bb2h F2h | G2q G2q C3q C3q | F2h C2h | D2q C2q Bb2q F2q | Bb2h F2h | G2q C2q C2q C2q | F2w"},
	},
}

// forge: dense chords, loud, struck again and again, and not a word on how.
var forge = piece{
	file: "forge.mid", title: "Forge (loud chords, articulation open)", tempo: 104,
	lines: withMarks(hands, []mark{{1, score.FF}}),
	voices: []voice{
		{0, 1, "G5e G5e G5e G5e G5e G5e G5e G5e | Ab5e Ab5e Ab5e Ab5e G5e G5e G5e G5e | F5e F5e F5e F5e Ab5e Ab5e G5e G5e | Eb5e Eb5e Eb5e Eb5e D5h | C5w"},
		{0, 1, "Eb5e Eb5e Eb5e Eb5e Eb5e Eb5e Eb5e Eb5e | F5e F5e F5e F5e Eb5e Eb5e Eb5e Eb5e | C5e C5e C5e C5e F5e F5e Eb5e Eb5e | C5e C5e C5e C5e B4h | G4w"},
		{0, 1, "C5e C5e C5e C5e C5e C5e C5e C5e | C5e C5e C5e C5e C5e C5e C5e C5e | Ab4e Ab4e Ab4e Ab4e C5e C5e C5e C5e | G4e G4e G4e G4e G4h | Eb4w"},
		{1, 1, "C4e C4e C4e C4e C4e C4e C4e C4e | C4e C4e C4e C4e C4e C4e C4e C4e | Ab3e Ab3e Ab3e Ab3e F3e F3e G3e G3e | G3e G3e G3e G3e G3h | G3w"},
		{1, 1, "Eb3e Eb3e Eb3e Eb3e Eb3e Eb3e Eb3e Eb3e | Ab3e Ab3e Ab3e Ab3e G3e G3e G3e G3e | F3e F3e F3e F3e Ab3e Ab3e C4e C4e | C4e C4e C4e C4e B3h | Eb3w"},
		{1, 1, "C3e C3e C3e C3e C3e C3e C3e C3e | F3e F3e F3e F3e Eb3e Eb3e Eb3e Eb3e | C3e C3e C3e C3e C3e C3e C3e C3e | Eb3e Eb3e Eb3e Eb3e D3h | C3w"},
	},
}
