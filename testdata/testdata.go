// Package testdata holds the demo pieces.
package testdata

// Demos lists the demo pieces.
var Demos = []string{"drop", "dotted", "solo"}

// Demo is the MIDI file of a demo piece.
func Demo(name string) ([]byte, bool) { return nil, false }
