// Package performance turns a page into what the player does: which key of which
// division goes down and up when, in seconds, and which stops are drawn and how the
// box stands at each moment.
package performance

import (
	"strings"

	"afterchord/sim/score"
	"afterchord/voicing"
)

// Performance is one playing of a score on an organ. Slices are sorted by time.
type Performance struct {
	Notes       []Note
	Changes     []Change // the first at 0 s
	Box         []BoxMove
	Passages    []Passage
	Assignments []Assignment // one for each part of the score
	EndS        float64      // last key up
	Unread      []score.Remark
	// Instructions counts the instructions among Unread that speak of stops: what sounds may not be what was asked for.
	Instructions int
	Registered   bool // words or a stops file say what to draw
}

// Note is one key press. Score is the index into score.Notes; Key is that of the page, or an octave higher where the pedals have no key so low.
type Note struct {
	Score     int
	Part      int
	Division  int
	Key       int
	OnS, OffS float64
	Dynamic   score.Dynamic
}

// Change is the registration that holds from AtS on.
type Change struct {
	AtS          float64
	Tick         score.Tick
	Registration voicing.Registration
	Why          string // "mp on Swell", "stops file line 3", …
}

// BoxMove is the box of a division standing at Open (0 shut … 1 open) at AtS;
// between two moves of the same division it moves in a straight line.
type BoxMove struct {
	AtS      float64
	Division int
	Open     float64
}

// Passage is a stretch of one part at one dynamic.
type Passage struct {
	Part     int
	Division int
	From, To score.Tick
	Dynamic  score.Dynamic
	MeanVel  float64
	Assumed  bool   // nothing in the score says so
	Source   string // "mark in the score", "velocity 104", "--dynamics"
	ByBox    bool   // a hairpin leads to it on a keyboard in a box: no stop is moved
}

// Assumed reports whether the assignment rests on staff and register, not on a name or the user's word.
func (a Assignment) Assumed() bool {
	return !strings.HasPrefix(a.Why, byUser) && !strings.HasPrefix(a.Why, byName) || a.ToPedal > 0 || a.Silent && a.Why != byUser
}

// Assignment says which division plays a part and why.
type Assignment struct {
	Part     int
	Division int
	Silent   bool   // not played: a stop of another part's division does it, or the user said so
	ToPedal  int    // low notes, held under full hands, that the feet play instead
	Why      string // "named Pedal", "lowest part", "--assign"

	OctaveHigher bool // played an octave higher than written: a pedal part at the pitch of a 16 ft stop
}
