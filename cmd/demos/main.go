// Command demos writes the demo pieces, composed for this project, as Standard
// MIDI Files into sim/demos:
//
//	go run ./cmd/demos
package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"

	"github.com/google/renameio/v2"
)

func main() {
	dir := filepath.Join("sim", "demos")
	if len(os.Args) > 1 {
		dir = os.Args[1]
	}
	for _, p := range pieces {
		var b bytes.Buffer
		s, err := p.compose()
		if err == nil {
			err = s.WriteSMF(&b)
		}
		if err == nil {
			err = renameio.WriteFile(filepath.Join(dir, p.file), b.Bytes(), 0o644)
		}
		if err != nil {
			fmt.Fprintf(os.Stderr, "%s: %v\n", p.file, err)
			os.Exit(1)
		}
	}
}
