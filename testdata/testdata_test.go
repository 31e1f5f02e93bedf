package testdata

import "testing"

func TestDemo(t *testing.T) {
	for _, name := range Demos {
		if data, ok := Demo(name); !ok || string(data[:4]) != "MThd" && string(data[:5]) != "<?xml" {
			t.Errorf("%s is neither a MIDI file nor MusicXML", name)
		}
	}
	if _, ok := Demo("none"); ok {
		t.Error("a piece that is not there")
	}
}
