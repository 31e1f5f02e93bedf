// Package score holds what is on the page: notes, bars, metres, tempi, words.
//
// It is the first link of the chain: readers (Standard MIDI Files here,
// MusicXML in a package below) turn a file into a [Score], and everything after
// works on that value alone. Positions are ticks; [Score.Position] gives bar
// and beat as printed, [Score.Seconds] gives time.
package score

// Tick is a position or length in the score's own resolution
// ([Score.TicksPerCrotchet] to the crotchet).
type Tick int64

// Score is one piece. Slices are sorted by position. A Score is read-only once
// read; edits make a copy (see [Score.Clone]).
type Score struct {
	Title            string
	File             string // base name of the file it came from
	Format           string // "SMF 0", "SMF 1", "MusicXML 4.0", …
	TicksPerCrotchet Tick
	Parts            []Part
	Notes            []Note    // by On, then Part, then Key
	Tempos           []Tempo   // the first at tick 0
	Metres           []Metre   // the first at tick 0
	Bars             []Bar     // contiguous from tick 0 to at least End
	Words            []Word    // markers, lyrics, marks, directions
	Controls         []Control // controllers, programs, bends
	End              Tick      // end of the last note or of the file's tracks
	Remarks          []Remark  // what was repaired, assumed or not understood
	ReadAs           string    // how the reader was asked to read it, where not as usual: "every bar once"

	source any // what the reader keeps so that the writer can leave the rest untouched
	times  *timeIndex
}

// Part is a line of the score that is played on one division: a track and
// channel of a MIDI file, or a staff of a MusicXML part.
type Part struct {
	Name    string // as written in the file; "Track 3" where there is none
	Track   int    // from 1, as it stands in the file
	Channel int    // MIDI channel 1..16; 0 where there is none
	Staff   int    // staff number within a MusicXML part, from 1; 0 where there is none
}

// Note is one key pressed and let go.
type Note struct {
	ID       int // unique in the score and stable under edits
	Part     int // index into Score.Parts
	Voice    int // voice within the part; 0 where the file has none
	Key      int // MIDI key number as played, 60 = middle C
	Velocity int // 1..127; 0 where the file has none
	On, Off  Tick
	Written  Tick // printed length; equals Off-On where the file has no articulation
	Pass     int  // which time through a repeat, from 1; 0 where there are none

	// Articulated notes stand under a slur, a dot, a dash or a wedge: the page says how long they are. Always false in a file
	// that has no such signs.
	Articulated bool
}

// Tempo is a change of speed.
type Tempo struct {
	At        Tick
	Crotchets float64 // crotchets (quarter notes) a minute
	Follows   bool    // derived tempo (inside a rit. or fermata, or the a tempo after it); belongs to the preceding mark
}

// Metre is a time signature.
type Metre struct {
	At          Tick
	Beats, Unit int // 3, 8 for 3/8
}

// Bar is one bar as printed. A pickup bar has Number 0.
type Bar struct {
	Number        int
	Label         string // printed number where it is not Number, e.g. "12a"; else ""
	Start, Length Tick
	Metre         Metre
}

// WordKind says what a Word is.
type WordKind string

// Kinds of words in a score.
const (
	Marker    WordKind = "marker"
	Lyric     WordKind = "lyric"
	Text      WordKind = "text"
	Direction WordKind = "direction" // words over a staff of a notation file
	Speed     WordKind = "speed"     // words about the speed, which the reader has understood
	Mark      WordKind = "dynamic"   // a dynamic mark; Score.Words[i].Text is "pp" … "fff"
	Hairpin   WordKind = "hairpin"   // Text is "crescendo", "diminuendo" or "stop"
)

// Word is a piece of text at a place. Part is -1 where it concerns the whole score.
type Word struct {
	At   Tick
	Part int
	Kind WordKind
	Text string
}

// ControlKind says what a Control changes.
type ControlKind string

// Kinds of control that a MIDI file carries and an organ may or may not have.
const (
	Controller ControlKind = "controller" // Number 0..127, Value 0..127
	Program    ControlKind = "program"    // Value 0..127
	Bend       ControlKind = "bend"       // Value -8192..8191
	Pressure   ControlKind = "pressure"   // Value 0..127; Number is the key or -1
)

// Control is one change of a control on a part.
type Control struct {
	At     Tick
	Part   int
	Kind   ControlKind
	Number int
	Value  int
}

// Remark is something that the reader repaired, assumed or did not understand.
type Remark struct {
	At   Tick
	Part int // -1 where it concerns the whole file
	Text string
}

// Position is a place as musicians count it. Bars count from 1 (a pickup bar is
// bar 0); beats count from 1 in units of the metre's lower figure (6/8 has six).
type Position struct {
	Bar  int
	Beat float64
}
