// Package engraving shows findings in the score itself: as words and coloured notes in a
// file for a notation program ([Annotate]), and over the engraved bars of a page ([NewSheet]).
//
// The library that engraves runs in the reader's browser. `make` puts it into the folder
// dist; a program built without it has everything else.
package engraving

import (
	"bytes"
	"compress/gzip"
	"embed"
	"io"
	"sync"
)

//go:embed dist
var dist embed.FS

// Engraver is the library as a page needs it.
type Engraver struct {
	Packed   []byte // the script, gzip
	Script   string
	Licences string // to be shown wherever the library goes
}

// Library is the library that was there when the program was built; ok is false where there
// was none.
func Library() (e Engraver, ok bool) {
	e = library()
	return e, e.Script != ""
}

var library = sync.OnceValue(func() Engraver {
	packed, err := dist.ReadFile("dist/library.js.gz")
	if err != nil {
		return Engraver{}
	}
	licences, err := dist.ReadFile("dist/LICENCES.txt")
	if err != nil {
		return Engraver{}
	}
	z, err := gzip.NewReader(bytes.NewReader(packed))
	if err != nil {
		return Engraver{}
	}
	script, err := io.ReadAll(z)
	if err != nil {
		return Engraver{}
	}
	return Engraver{Packed: packed, Script: string(script), Licences: string(licences)}
})
