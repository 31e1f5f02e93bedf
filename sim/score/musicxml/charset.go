//go:build !js

package musicxml

import (
	"io"

	"golang.org/x/text/encoding/htmlindex"
)

// decoded is in as UTF-8, by the WHATWG's labels of encodings; ok is false for one that is not known.
func decoded(label string, in io.Reader) (out io.Reader, ok bool) {
	e, err := htmlindex.Get(label)
	if err != nil {
		return nil, false
	}
	return e.NewDecoder().Reader(in), true
}
