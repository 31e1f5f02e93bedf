// Package engraving shows findings in the score itself: as words and coloured notes in a
// file for a notation program ([Annotate]), and over the engraved bars of a page ([NewSheet]).
//
// The library that engraves runs in the reader's browser. `make` puts it into the folder
// dist; a program built without it has everything else.
package engraving

import (
	"embed"
	"encoding/base64"
	"fmt"
	"sync"
	"unsafe"
)

//go:embed dist
var dist embed.FS

// What every page with an engraved score has in common: a classic script with the class Engraved,
// which draws a [Music] with the library and lays marks over it, and its style.
var (
	//go:embed engraved.js
	Script string
	//go:embed engraved.css
	Style string
)

// Engraver is the library as pages need it. All of it was made when the program was built, so
// that a page costs no packing, no encoding and no hashing.
type Engraver struct {
	Base64   string // the script, gzip, in standard base64
	Hash     string // of the script, as a content security policy names it: "sha256-…"
	Licences string // to be shown wherever the library goes
}

// Library is the library that was there when the program was built; ok is false where there
// was none.
func Library() (e Engraver, ok bool) {
	e = library()
	return e, e.Base64 != ""
}

var library = sync.OnceValue(func() Engraver {
	var e Engraver
	for name, to := range map[string]*string{"library.js.gz.base64": &e.Base64, "library.sha256": &e.Hash, "LICENCES.txt": &e.Licences} {
		data, err := dist.ReadFile("dist/" + name)
		if err != nil {
			return Engraver{}
		}
		*to = unsafe.String(unsafe.SliceData(data), len(data)) // nobody writes it
	}
	return e
})

// Gzip is the packed script.
func (e Engraver) Gzip() ([]byte, error) {
	packed, err := base64.StdEncoding.DecodeString(e.Base64)
	if err != nil {
		return nil, fmt.Errorf("the engraving library in this program is damaged; build it again: %w", err)
	}
	return packed, nil
}
