package main

import (
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score/file"
)

func TestReadingFlags(t *testing.T) {
	for upbeat, want := range map[string]float64{"": 0, "1": 1, "0.5": 0.5, "1/2": 0.5, "3/2": 1.5, "none": file.NoUpbeat, "0": file.NoUpbeat} {
		t.Run(upbeat, func(t *testing.T) {
			f := inputFlags{upbeat: upbeat, printed: true}
			o, err := f.reading()
			require.NoError(t, err, upbeat)
			require.Equal(t, file.Options{AsPrinted: true, Upbeat: want}, o, upbeat)
		})
	}
	for _, upbeat := range []string{"a beat", "-1", "1/0", "65", "NaN"} {
		t.Run(upbeat, func(t *testing.T) {
			f := inputFlags{upbeat: upbeat}
			_, err := f.reading()
			require.ErrorAs(t, err, new(usageError), upbeat)
		})
	}
}
