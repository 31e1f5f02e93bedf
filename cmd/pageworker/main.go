//go:build js

// Command pageworker is the program inside the page that is one file: the desk, answering in a worker of the
// browser. It is built by cmd/page.
package main

import (
	"context"
	"fmt"
	"net/http"
	"os"
	"runtime/debug"
	"strconv"

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
	m := http.NewServeMux()
	m.Handle("/", d)
	m.HandleFunc("POST /rehearse/judge/{step}", step(d.RehearseJudging))
	m.HandleFunc("POST /rehearse/sound/{step}", step(d.RehearseSounding))
	worker.Serve(m)
}

// step answers 204 when there are no more.
func step(rehearse func(context.Context, int) bool) http.HandlerFunc {
	return func(w http.ResponseWriter, r *http.Request) {
		n, err := strconv.Atoi(r.PathValue("step"))
		if err != nil || !rehearse(r.Context(), n) {
			w.WriteHeader(http.StatusNoContent)
		}
	}
}
