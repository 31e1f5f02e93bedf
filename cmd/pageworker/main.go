//go:build js

// Command pageworker is the program inside the page that is one file: the desk, answering in a worker of the
// browser. It is built by cmd/page.
package main

import (
	"fmt"
	"os"
	"runtime/debug"

	"afterchord/render/desk"
	"afterchord/render/page/worker"
)

// softMemory is where the collector begins to work harder (bytes): phones have little.
const softMemory = 384 << 20

func main() {
	debug.SetMemoryLimit(softMemory)
	debug.SetGCPercent(60)
	d, err := desk.New(desk.Options{Shelf: worker.Shelf{}, Remedies: desk.TableRemedies{}, Breathe: worker.Breathe, KeptBytes: 64 << 20})
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	worker.Serve(d)
}
