// Package demos holds the demo pieces inside the program, so that it can be tried without files.
// They are our own music; the MIDI files are written by cmd/demos.
package demos

import (
	_ "embed"
	"slices"
)

//go:generate go run ../../cmd/demos .

// Names lists the demo pieces in the order in which they are offered.
var Names = []string{"drop", "dotted", "solo", "vigil"}

//go:embed drop.mid
var drop []byte

//go:embed dotted.mid
var dotted []byte

//go:embed solo.mid
var solo []byte

//go:embed vigil.musicxml
var vigil []byte

// Piece is the score file of a demo piece by its name in Names: a Standard MIDI File, or MusicXML.
// The caller owns the bytes.
func Piece(name string) ([]byte, bool) {
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

// File is the file name of a demo piece.
func File(name string) string {
	if data, _ := Piece(name); len(data) > 0 && data[0] == '<' {
		return name + ".musicxml"
	}
	return name + ".mid"
}
