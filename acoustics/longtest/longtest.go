// Package longtest keeps the tests that take minutes, those that drive browsers and those that gather statistics over
// many sounds, for whoever asks: AFTERCHORD_LONG=1 go test ./...
package longtest

import (
	"os"
	"testing"
)

// Variable is the environment variable that asks for the long tests by being set to anything.
const Variable = "AFTERCHORD_LONG"

// Wanted reports whether the long tests are asked for.
func Wanted() bool { return os.Getenv(Variable) != "" }

// Only skips a test unless the long tests are asked for; what it does is said beside how to run it.
func Only(t testing.TB, what string) {
	t.Helper()
	if !Wanted() {
		t.Skipf("%s: %s=1 go test runs it", what, Variable)
	}
}

// Of is the first number, or the second where the long tests are asked for: how many cases a test tries.
func Of(few, many int) int {
	if Wanted() {
		return many
	}
	return few
}
