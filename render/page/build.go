package page

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"

	"afterchord/acoustics/simd128"
	"afterchord/render/desk"
)

// Program is the command that answers inside the page, built for js/wasm.
const Program = "./cmd/pageworker"

// Build makes the page and its policy from the repository that the working directory is in. The program is built for
// WebAssembly with the Go that is installed; the same files and the same Go give the same bytes. It fails with what the
// compiler says.
func Build() (page []byte, policy Policy, err error) {
	root, err := output("go", "list", "-m", "-f", "{{.Dir}}")
	if err != nil {
		return nil, "", err
	}
	goRoot, err := output("go", "env", "GOROOT")
	if err != nil {
		return nil, "", err
	}
	parts := Parts{Root: root}
	if parts.WasmExec, err = os.ReadFile(filepath.Join(goRoot, "lib", "wasm", "wasm_exec.js")); err != nil {
		return nil, "", err
	}
	licences, err := os.ReadFile(filepath.Join(root, "cmd", "afterchord", "licences.txt"))
	if err != nil {
		return nil, "", err
	}
	parts.Licences = string(licences)
	if parts.Overview, err = desk.Overview(desk.Options{}); err != nil {
		return nil, "", err
	}
	unbound, err := program(root, goRoot)
	if err != nil {
		return nil, "", err
	}
	if parts.Program, parts.Vectors, err = simd128.Bind(unbound); err != nil {
		return nil, "", err
	}
	var b bytes.Buffer
	policy, err = Write(&b, parts)
	return b.Bytes(), policy, err
}

// program builds the desk for the browser, with vector loops that it is still to be bound to.
func program(root, goRoot string) ([]byte, error) {
	dir, err := os.MkdirTemp("", "afterchord-page-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	overlay, err := lighter(dir, goRoot)
	if err != nil {
		return nil, err
	}
	file := filepath.Join(dir, "program.wasm")
	c := exec.Command("go", "build", "-trimpath", "-buildvcs=false", "-overlay="+overlay, "-tags="+simd128.Tag, "-ldflags=-s -w -buildid=", "-o", file, Program)
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
