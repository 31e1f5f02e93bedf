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
	"os/exec"
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
	root, err := output("go", "list", "-m", "-f", "{{.Dir}}")
	if err != nil {
		return err
	}
	goRoot, err := output("go", "env", "GOROOT")
	if err != nil {
		return err
	}
	parts := page.Parts{Root: root}
	if parts.WasmExec, err = os.ReadFile(filepath.Join(goRoot, "lib", "wasm", "wasm_exec.js")); err != nil {
		return err
	}
	if parts.Program, err = program(root); err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(out), 0o755); err != nil {
		return err
	}
	var b bytes.Buffer
	policy, err := page.Write(&b, parts)
	if err != nil {
		return err
	}
	if err := atomicfile.WriteFile(out, b.Bytes()); err != nil {
		return err
	}
	if err := atomicfile.WriteFile(strings.TrimSuffix(out, ".html")+".policy.txt", []byte(policy+"\n")); err != nil {
		return err
	}
	fmt.Printf("%s: %.1f MB, %.1f MB as a server sends it packed\n", out, float64(b.Len())/1e6, float64(packed(b.Bytes()))/1e6)
	return nil
}

// program builds the desk for the browser.
func program(root string) ([]byte, error) {
	dir, err := os.MkdirTemp("", "afterchord-page-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	file := filepath.Join(dir, "program.wasm")
	c := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w", "-o", file, "./cmd/pageworker")
	c.Dir, c.Stderr = root, os.Stderr
	c.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "GOFLAGS=")
	if err := c.Run(); err != nil {
		return nil, fmt.Errorf("the program cannot be built: %w", err)
	}
	return os.ReadFile(file)
}

func output(name string, args ...string) (string, error) {
	b, err := exec.Command(name, args...).Output()
	return strings.TrimSpace(string(b)), err
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
