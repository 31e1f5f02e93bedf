// Package file reads a score file of any kind that the program knows, told by what is in it,
// and writes a score back in the kind it came in.
//
// Kinds are registered as the standard library's image formats are: a name, a look at the first bytes, a
// decoder. A new kind is one file with a call of [Register] in it.
package file

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"afterchord/acoustics/plural"
	"afterchord/sim/score"
	"afterchord/sim/score/musicxml"
	"afterchord/sim/score/smf"
)

// Format is a kind of score file.
type Format struct {
	Name      string // "Standard MIDI File"
	Extension string // of its files, with the dot
	Sniff     func(data []byte) bool
	Decode    func(data []byte, name string, o Options) (*score.Score, error)
}

// Options are choices of how a score is read. Each concerns the kinds of file that can have it.
type Options struct {
	// AsPrinted plays every bar once, in the order of the page: no repeats, voltas, da capo or dal segno (notation).
	AsPrinted bool
	// Upbeat is the length of the pickup in crotchets where a MIDI file counts it as a full bar: 0 leaves it to the music,
	// with a remark where that says there is one; NoUpbeat says that there is none.
	Upbeat float64
}

// NoUpbeat as Options.Upbeat says that the first bar is a full one.
const NoUpbeat = smf.NoUpbeat

var formats []Format

// Register adds a kind of file. The kinds are asked in the order in which they were registered; it is for use
// before anything is read.
func Register(f Format) { formats = append(formats, f) }

// Detect tells the kind of a file by its content; ok is false where none knows it.
func Detect(data []byte) (f Format, ok bool) {
	for _, f := range formats {
		if f.Sniff(data) {
			return f, true
		}
	}
	return Format{}, false
}

// Read reads a score. name is the file's name for Score.File and for messages; what kind of file it is says
// its content alone. Errors begin with the name and are of one line: an [UnknownError] where no kind knows
// the content, else a FormatError of the kind's package.
func Read(data []byte, name string) (*score.Score, error) { return ReadWith(data, name, Options{}) }

// String says what o asks for, in words; "" where it is nothing out of the usual.
func (o Options) String() string {
	var asked []string
	if o.AsPrinted {
		asked = append(asked, "every bar once")
	}
	switch {
	case o.Upbeat == NoUpbeat:
		asked = append(asked, "no upbeat")
	case o.Upbeat > 0:
		asked = append(asked, "an upbeat of "+plural.Number(o.Upbeat, "crotchet"))
	}
	return strings.Join(asked, ", ")
}

// ReadWith is Read with choices.
func ReadWith(data []byte, name string, o Options) (*score.Score, error) {
	if f, ok := Detect(data); ok {
		s, err := f.Decode(data, name, o)
		if err == nil {
			s.ReadAs = o.String()
		}
		return s, err
	}
	return nil, fmt.Errorf("%s: %w", name, unknown(data, name))
}

// Extension is that of the file which Write makes of a score: ".musicxml" where it came from notation, else ".mid".
func Extension(s *score.Score) string {
	if _, notation := musicxml.PrintedBar(s, 0); notation {
		return ".musicxml"
	}
	return ".mid"
}

// Write writes a score in the kind that it came in, with only what was changed since then changed: as
// MusicXML where it came from notation, else as a Standard MIDI File.
func Write(w io.Writer, s *score.Score) error {
	if Extension(s) == ".musicxml" {
		return musicxml.Write(w, s)
	}
	return smf.Write(w, s)
}

// extension is that of a name, in lower case.
func extension(name string) string { return strings.ToLower(filepath.Ext(name)) }
