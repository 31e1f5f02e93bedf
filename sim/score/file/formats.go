package file

import (
	"bytes"

	"afterchord/sim/score"
	"afterchord/sim/score/musicxml"
	"afterchord/sim/score/smf"
)

func init() {
	Register(Format{"Standard MIDI File", ".mid", smf.Sniff, midi})
	Register(Format{"MIDI in a RIFF file", ".rmi", smf.SniffRIFF, midi})
	Register(Format{"compressed MusicXML", ".mxl", musicxml.SniffCompressed, notation})
	Register(Format{"MusicXML", ".musicxml", musicxml.Sniff, notation})
}

func midi(data []byte, name string, o Options) (*score.Score, error) {
	return smf.ReadWith(data, name, smf.Options{Upbeat: o.Upbeat})
}

func notation(data []byte, name string, o Options) (*score.Score, error) {
	return musicxml.ReadWith(data, name, musicxml.Options{AsPrinted: o.AsPrinted})
}

// starts tells whether the data begin with one of the given bytes.
func starts(data []byte, with ...string) bool {
	for _, w := range with {
		if bytes.HasPrefix(data, []byte(w)) {
			return true
		}
	}
	return false
}
