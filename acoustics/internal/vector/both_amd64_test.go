package vector

import "testing"

// both runs a test with eight values at a time, where the processor can, and with four.
func both(t *testing.T, name string, run func(t *testing.T)) {
	t.Run(name, run)
	if was := wide; was {
		wide = false
		defer func() { wide = was }()
		t.Run(name+", four at a time", run)
	}
}
