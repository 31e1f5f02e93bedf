package demos

import "testing"

func TestPiece(t *testing.T) {
	for _, name := range Names {
		if data, ok := Piece(name); !ok || string(data[:4]) != "MThd" && string(data[:5]) != "<?xml" {
			t.Errorf("%s is neither a MIDI file nor MusicXML", name)
		}
	}
	if _, ok := Piece("none"); ok {
		t.Error("a piece that is not there")
	}
}
