// Package testdata holds the demo pieces, so that they can be used without files.
// They are our own music; the MIDI files are written by the program in the folder make.
package testdata

import (
	_ "embed"
	"slices"
)

//go:generate go run ./make .

// Demos lists the names that Demo knows.
var Demos = []string{"drop", "dotted", "solo", "vigil"}

//go:embed drop.mid
var drop []byte

//go:embed dotted.mid
var dotted []byte

//go:embed solo.mid
var solo []byte

//go:embed vigil.musicxml
var vigil []byte

// Demo is a demo piece by its name in Demos: a Standard MIDI File, or MusicXML.
func Demo(name string) ([]byte, bool) {
	switch name {
	case "drop":
		return slices.Clone(drop), true
	case "dotted":
		return slices.Clone(dotted), true
	case "solo":
		return slices.Clone(solo), true
	case "vigil":
		return slices.Clone(vigil), true
	}
	return nil, false
}

// File is the name of the file of a demo piece.
func File(name string) string {
	if data, _ := Demo(name); len(data) > 0 && data[0] == '<' {
		return name + ".musicxml"
	}
	return name + ".mid"
}
