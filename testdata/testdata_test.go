package testdata

import "testing"

func TestDemo(t *testing.T) {
	for _, name := range Demos {
		if data, ok := Demo(name); !ok || string(data[:4]) != "MThd" {
			t.Errorf("%s is not a MIDI file", name)
		}
	}
	if _, ok := Demo("none"); ok {
		t.Error("a piece that is not there")
	}
}
