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

	"afterchord/acoustics/atomicfile"
	"afterchord/sim/score/smf"
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
			err = smf.Write(&b, s)
		}
		if err == nil {
			err = atomicfile.WriteFile(filepath.Join(dir, p.file), b.Bytes())
		}
		if err != nil {
			fmt.Fprintf(os.Stderr, "%s: %v\n", p.file, err)
			os.Exit(1)
		}
	}
}
