package main

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
)

// The program prints what it was built from: a module that is new, or of another version, brings its notice.
func TestNoticesAreThoseOfTheModules(t *testing.T) {
	longtest.Only(t, "lists the modules of seven systems")
	text, err := gather("../..")
	require.NoError(t, err)
	kept, err := os.ReadFile("../afterchord/licences.txt")
	require.NoError(t, err)
	if string(kept) != string(text) {
		t.Fatal("cmd/afterchord/licences.txt is not that of the modules in go.mod; run: make licences")
	}
}
