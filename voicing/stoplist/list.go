package stoplist

// List is a stop list as it was read.
type List struct {
	Title     string
	Divisions []Division // manuals from the nearest keyboard up, then the pedal
	Couplers  []Coupler
	Facts     Facts
	Lines     []Line // every line that is not empty, in order
	Language  string // "en", "de", "fr", "it", "es", "nl", "sv" for Swedish, Danish and Norwegian, "fi" for Finnish, Estonian and Latvian, "pl", "cs"; "" where it cannot be told
	Assumed   []string

	winds []divisionWind
}

// Division is one keyboard's stops.
type Division struct {
	Name      string
	Role      string // "great", "swell", "choir", "positive", "solo", "echo", "bombarde", "upper", "breast", "pedal"; "" where only a number is given
	Number    int    // of the manual as printed, from 1; 0 where it is not printed
	Pedal     bool
	Enclosed  bool
	Tremulant bool
	LowKey    int // MIDI keys; 0 where the list does not say
	HighKey   int
	WindMM    float64
	Stops     []Stop

	order   int  // in the list
	either  int  // the number of the manual that its stops are drawn on as well
	inBox   part // of its stops, where the list names them by their numbers
	starred int  // the number of the manual that those of its stops with a star are drawn on as well
	unknown bool // its name is no known one
	byWord  bool // its heading has more than a number
}

// Stop is one knob.
type Stop struct {
	Line     int    // of the list, from 1
	Text     string // as printed
	Name     string // as it goes onto the knob, without length
	Kind     *Kind
	Feet     float64
	Ranks    int // of a compound stop; else 1
	Least    int // ranks at the bottom, where it grows
	LowKey   int // 0 where it has the division's
	HighKey  int
	Stopped  bool     // its pipes are said to be stopped
	Borrowed bool     // from another division or stop
	either   int      // the number of the manual on which it is drawn as well; 0 for none
	unit     string   // the letter of the rank that it is drawn from, in a unit organ
	degrees  []int    // of a compound stop, where they are printed: 15, 19, 22
	Assumed  []string // what the list does not say
}

// Coupler makes the keys of one division sound another's pipes.
type Coupler struct {
	Line    int
	Text    string
	Keys    int // index into Divisions
	Sounds  int
	Shift   int // semitones
	Fixed   bool
	Assumed string
}

// Facts are what the list says of the whole organ; zero values where it says nothing.
type Facts struct {
	PitchHz               float64
	Temperament           string
	TemperamentSaid       string // where the list has a temperament that is not built in
	WindMM                float64
	PedalWindMM           float64
	Action                string
	ActionSaid            string // where the list has an action that a description cannot say: "tubular-pneumatic", "Barker levers"
	Pistons               int
	Year                  int
	ManualLow, ManualHigh int // keys
	PedalLow, PedalHigh   int
	AllEnclosed           bool
}

// Line is how one line was read.
type Line struct {
	Number   int // from 1
	Text     string
	Readings []Reading
}

// What a piece of a line is.
const (
	IsHeading   = "division"
	IsStop      = "stop"
	IsCoupler   = "coupler"
	IsTremulant = "tremulant"
	IsFact      = "fact"
	IsExtra     = "no pipes" // an accessory or a heading that has none
	IsProse     = "prose"
	IsUnread    = "not understood"
)

// Reading is what one piece of a line was taken for.
type Reading struct {
	What string // one of the constants
	Text string // in words: "Great: Open Diapason 8 (principal, open)"
	Ask  string // what was assumed or stays open; "" where the list says it all
}

// Unread are the pieces that were not understood, with their lines.
func (l *List) Unread() []Line {
	var out []Line
	for _, line := range l.Lines {
		var r []Reading
		for _, x := range line.Readings {
			if x.What == IsUnread {
				r = append(r, x)
			}
		}
		if len(r) > 0 {
			out = append(out, Line{line.Number, line.Text, r})
		}
	}
	return out
}
