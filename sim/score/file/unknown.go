package file

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"

	"afterchord/acoustics/lazyregexp"
	"afterchord/sim/score/musicxml"
)

// UnknownError is content that no registered kind of file knows.
type UnknownError struct {
	What   string // what it is, as far as that can be told: "a PDF of the pages"
	Advice string // what to do
}

// Error is one line.
func (e *UnknownError) Error() string {
	return fmt.Sprintf("this is %s, which is not read: %s", e.What, e.Advice)
}

const export = "open it in the program that it comes from and export it as MusicXML (.musicxml or .mxl), or as MIDI"

// foreign are kinds of file that people have scores in and that are not read, by what they begin with.
var foreign = []struct {
	what, advice string
	sniff        func(data []byte) bool
}{
	{"a PDF of the pages", "a picture of the notes holds no notes; " + export, begins("%PDF")},
	{"a picture", "a picture of the notes holds no notes; " + export, begins("\x89PNG", "\xff\xd8\xff", "GIF8", "II*\x00", "MM\x00*", "BM")},
	{"a sound recording", "a recording holds no notes; give the score as MusicXML or MIDI", sound},
	{"a score in MEI", "convert it to MusicXML (the program that shows it, or a converter for MEI, exports .musicxml); a conversion to MIDI may lose its dynamics and words", containing(`<mei[\s>]`)},
	{"a score in Humdrum", "convert it to MusicXML (the usual tools for Humdrum do, and so do the sites that keep such scores); a conversion to MIDI may lose its dynamics and words", lines(`^(\*\*kern|\*\*mens)\b`)},
	{"a score in ABC", "export it as MusicXML (programs for ABC tunes do, with every voice on its own staff); a conversion to MIDI may lose its dynamics and words", lines(`^X:\s*\d+\s*$`)},
	{"the source of an engraved score (\\score, \\relative)", `put "\midi {}" into its \score and take the MIDI file, or export MusicXML`, lines(`^\\(version|score|relative|header)\b`)},
	{"a notation program's own file", export, begins("\x0fSIBELIUS", "ENIGMA", "[NoteWorthy", "!NoteWorthy", "SCORE V", "SCOW", "\xb4SCP", "cap3-v:", "CAPELLA")},
	{"a notation program's own file", export, containing(`<(museScore|opus|score xmlns="http://www.capella\.de)[\s>]`)},
}

// unknown says what a file is that nothing here reads.
func unknown(data []byte, name string) error {
	if len(bytes.TrimSpace(data)) == 0 {
		return &UnknownError{"an empty file", "give a MusicXML or MIDI file"}
	}
	for _, k := range foreign {
		if k.sniff(data) {
			return &UnknownError{k.what, k.advice}
		}
	}
	if starts(data, "PK\x03\x04") {
		if inner := packed(data); inner != "" {
			return &UnknownError{inner, export}
		}
		return &UnknownError{"a compressed file without a MusicXML score in it", export}
	}
	if first := musicxml.FirstElement(data); first != "" {
		return &UnknownError{fmt.Sprintf("XML whose first element is <%.40s>, not that of a MusicXML score", first), export}
	}
	switch extension(name) {
	case ".mscz", ".mscx", ".sib", ".mus", ".musx", ".dorico", ".cap", ".capx", ".nwc", ".enc", ".gp", ".gpx", ".gp5", ".ly":
		return &UnknownError{"a notation program's own file (" + extension(name) + ")", export}
	}
	return &UnknownError{fmt.Sprintf("neither MusicXML nor a Standard MIDI File (it begins with %s)", firstBytes(data)), "give a score as .musicxml, .mxl or .mid"}
}

// firstBytes shows how a file begins.
func firstBytes(data []byte) string {
	n := min(len(data), 8)
	for _, c := range data[:n] {
		if c < 0x20 || c > 0x7e {
			return fmt.Sprintf("% X", data[:n])
		}
	}
	return fmt.Sprintf("%q", data[:n])
}

func begins(with ...string) func([]byte) bool {
	return func(data []byte) bool { return starts(data, with...) }
}

// head is how much of a text is looked through.
const head = 4096

func containing(pattern string) func([]byte) bool {
	re := lazyregexp.New(pattern)
	return func(data []byte) bool { return re.Regexp().Match(data[:min(len(data), head)]) }
}

func lines(pattern string) func([]byte) bool { return containing("(?m)" + pattern) }

// sound tells recordings: WAV, AIFF, MP3, Ogg, FLAC, MP4.
func sound(data []byte) bool {
	if starts(data, "RIFF") && len(data) >= 12 {
		return string(data[8:12]) == "WAVE"
	}
	return starts(data, "FORM", "ID3", "OggS", "fLaC", "\xff\xfb", "\xff\xf3") || len(data) > 12 && string(data[4:8]) == "ftyp"
}

// packed says what a compressed file holds that is no MusicXML.
func packed(data []byte) string {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return ""
	}
	for _, f := range z.File {
		name := strings.ToLower(f.Name)
		switch {
		case strings.HasSuffix(name, ".mscx"), strings.HasSuffix(name, "score.dat"), strings.HasSuffix(name, ".gpif"), strings.HasSuffix(name, "score.xml") && strings.Contains(name, "capella"):
			return "a notation program's own compressed file"
		case strings.HasSuffix(name, ".mei"):
			return "a score in MEI, compressed"
		case strings.HasSuffix(name, ".mid"), strings.HasSuffix(name, ".midi"):
			return "a folder of files, compressed (unpack it first)"
		}
	}
	return ""
}
