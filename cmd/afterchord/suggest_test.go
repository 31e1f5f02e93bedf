package main

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// A mistyped word is answered with the one that may be meant, and with where help is.
func TestWhatMayBeMeant(t *testing.T) {
	for line, want := range map[string]string{
		"proof demo:drop --rom chapel":  "afterchord proof has no flag --rom; did you mean --room? See 'afterchord proof --help'",
		"proof demo:drop --rt abc":      `--rt "abc": give a number; see 'afterchord proof --help'`,
		"mend demo:drop --nothing-like": "afterchord mend has no flag --nothing-like; see 'afterchord mend --help'",
		"room mesure x.wav":             "there is no command \"mesure\" in 'afterchord room'; did you mean measure? See 'afterchord room --help'",
		"prof":                          "there is no command \"prof\"; did you mean proof? See 'afterchord --help'",
	} {
		t.Run(line, func(t *testing.T) {
			root := newRoot()
			root.SetArgs(strings.Fields(line))
			err := root.Execute()
			require.EqualError(t, err, want)
			require.ErrorAs(t, err, &usageError{})
		})
	}
}
