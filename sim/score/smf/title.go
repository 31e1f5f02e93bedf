package smf

import (
	"strings"
	"unicode"

	"gitlab.com/gomidi/midi/v2/gm"
)

// noPiece are names that programs and players give to tracks, in letters alone (common practice); numbers may follow them.
var noPiece = func() map[string]bool {
	out := map[string]bool{}
	for _, name := range []string{"", "untitled", "unnamed", "no name", "new", "new song", "song", "sequence", "midi", "midi out", "midi file", "tempo", "tempo track", "tempo map",
		"conductor", "conductor track", "control track", "master track", "meta", "meta track", "track", "midi track", "new track", "staff", "part", "channel", "midi channel", "voice",
		"instrument", "stave", "system", "spur", "stimme", "piste", "portée", "traccia", "pista",
		"piano", "grand piano", "pianoforte", "klavier", "flügel", "organ", "pipe organ", "church organ", "orgel", "kirchenorgel", "orgue", "organo", "keyboard", "keyboards", "keys", "manual", "manuals",
		"hauptwerk", "great", "swell", "choir", "solo", "positiv", "pedal", "pedals", "right hand", "left hand", "rh", "lh", "right", "left", "upper", "lower",
		"treble", "bass", "soprano", "alto", "tenor", "melody", "strings", "violin", "flute", "voice oohs"} {
		out[letters(name)] = true
	}
	for i := range 128 {
		out[letters(gm.Instr(i).String())] = true
	}
	return out
}()

// letters is the small letters of name.
func letters(name string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, name)
}

// namesNoPiece tells whether name is that of a track or an instrument: "Piano", "Track 1", "Acoustic Grand Piano", "Untitled".
func namesNoPiece(name string) bool { return noPiece[letters(name)] }
