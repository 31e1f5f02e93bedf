package room

import (
	"errors"
	"fmt"
)

// FormatError is what is wrong with a room file, and where.
type FormatError struct {
	File string
	Line int // from 1; 0 where it concerns the whole file
	Err  error
}

// Error is one line: "x.toml:3: what is wrong".
func (e *FormatError) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("%s: %v", e.File, e.Err)
	}
	return fmt.Sprintf("%s:%d: %v", e.File, e.Line, e.Err)
}

// Unwrap is the error without its place.
func (e *FormatError) Unwrap() error { return e.Err }

// ValueError is a figure that no room can have: the key of a room file that it belongs to, and what is wrong.
type ValueError struct{ Key, Reason string }

func (e *ValueError) Error() string { return e.Reason }

// badValue makes a ValueError.
func badValue(key, format string, a ...any) error {
	return &ValueError{key, fmt.Sprintf(format, a...)}
}

// keyOf is the key that err concerns, or fallback.
func keyOf(err error, fallback string) string {
	var v *ValueError
	if errors.As(err, &v) {
		return v.Key
	}
	return fallback
}
