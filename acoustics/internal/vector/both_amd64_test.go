package vector

import "testing"

// both runs a test with as many values at a time as the processor can take, and with fewer.
func both(t *testing.T, name string, run func(t *testing.T)) {
	t.Run(name, run)
	defer func(w, x bool) { wide, widest = w, x }(wide, widest)
	if widest {
		widest = false
		t.Run(name+", eight at a time", run)
	}
	if wide {
		wide = false
		t.Run(name+", four at a time", run)
	}
}
