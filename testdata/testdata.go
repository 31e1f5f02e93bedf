// Package testdata holds the demo pieces, so that they can be used without files.
// They are our own music, written by the program in the folder make.
package testdata

import (
	_ "embed"
	"slices"
)

//go:generate go run ./make .

// Demos lists the names that Demo knows.
var Demos = []string{"drop", "dotted", "solo"}

//go:embed drop.mid
var drop []byte

//go:embed dotted.mid
var dotted []byte

//go:embed solo.mid
var solo []byte

// Demo is a demo piece as a Standard MIDI File, by its name in Demos.
func Demo(name string) ([]byte, bool) {
	switch name {
	case "drop":
		return slices.Clone(drop), true
	case "dotted":
		return slices.Clone(dotted), true
	case "solo":
		return slices.Clone(solo), true
	}
	return nil, false
}
