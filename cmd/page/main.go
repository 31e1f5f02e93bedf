// Command page makes the page that is one file: go run ./cmd/page -o dist/afterchord.html. It builds the program for
// WebAssembly with the Go that runs it.
package main

import (
	"bytes"
	"compress/gzip"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"afterchord/acoustics/atomicfile"
	"afterchord/render/page"
)

func main() {
	out := flag.String("o", filepath.Join("dist", "afterchord.html"), "the page")
	flag.Parse()
	if flag.NArg() > 0 {
		fmt.Fprintln(os.Stderr, "page takes no arguments but -o FILE")
		os.Exit(2)
	}
	if err := build(*out); err != nil {
		fmt.Fprintln(os.Stderr, "page:", err)
		os.Exit(1)
	}
}

func build(out string) error {
	data, policy, err := page.Build()
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(out), 0o755); err != nil {
		return err
	}
	if err := atomicfile.WriteFile(out, data); err != nil {
		return err
	}
	if err := atomicfile.WriteFile(strings.TrimSuffix(out, ".html")+".policy.txt", []byte(policy+"\n")); err != nil {
		return err
	}
	fmt.Printf("%s: %.1f MB, %.1f MB as a server sends it packed\n", out, float64(len(data))/1e6, float64(packed(data))/1e6)
	return nil
}

// packed is the size of data as a server with gzip sends it, bytes.
func packed(data []byte) int {
	var n counter
	z := gzip.NewWriter(&n)
	_, _ = io.Copy(z, bytes.NewReader(data))
	_ = z.Close()
	return int(n)
}

type counter int

func (c *counter) Write(p []byte) (int, error) {
	*c += counter(len(p))
	return len(p), nil
}
