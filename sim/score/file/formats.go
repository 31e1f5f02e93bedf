package file

import (
	"bytes"

	"afterchord/sim/score/musicxml"
	"afterchord/sim/score/smf"
)

func init() {
	Register(Format{"Standard MIDI File", ".mid", smf.Sniff, smf.Read})
	Register(Format{"MIDI in a RIFF file", ".rmi", smf.SniffRIFF, smf.Read})
	Register(Format{"compressed MusicXML", ".mxl", musicxml.SniffCompressed, musicxml.Read})
	Register(Format{"MusicXML", ".musicxml", musicxml.Sniff, musicxml.Read})
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
