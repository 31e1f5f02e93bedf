// Package demos holds the demo pieces inside the program, so that it can be tried without files.
// They are our own music; the MIDI files are written by cmd/demos.
package demos

import (
	"embed"
	"slices"
)

//go:generate go run ../../cmd/demos .

// Names lists the demo pieces in the order in which they are offered.
var Names = []string{"drop", "dotted", "solo", "vigil", "ferry", "brook", "carillon", "stride", "tide", "dawn", "harvest", "forge"}

//go:embed *.mid *.musicxml
var files embed.FS

// Piece is the score file of a demo piece by its name in Names: a Standard MIDI File, or MusicXML.
// The caller owns the bytes.
func Piece(name string) ([]byte, bool) {
	if !slices.Contains(Names, name) {
		return nil, false
	}
	data, err := files.ReadFile(File(name))
	return data, err == nil
}

// File is the file name of a demo piece.
func File(name string) string {
	if f, err := files.Open(name + ".musicxml"); err == nil {
		f.Close()
		return name + ".musicxml"
	}
	return name + ".mid"
}
