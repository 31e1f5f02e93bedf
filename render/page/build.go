package page

import (
	"bytes"
	"encoding/json"
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
	overlay, err := withoutMethodsByName(dir, goRoot)
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

// methodByName is where text/template looks for a method of a value. As long as a program has this line, the linker keeps
// every exported method of every type that it has, certificates and elliptic curves among them: a ninth of the page.
const methodByName = "ptr.MethodByName(fieldName)"

// withoutMethodsByName has the program built with a text/template whose templates call no methods (the report's call
// functions alone), and gives the file in dir that tells the Go command so.
func withoutMethodsByName(dir, goRoot string) (overlay string, err error) {
	original, own := filepath.Join(goRoot, "src", "text", "template", "exec.go"), filepath.Join(dir, "exec.go")
	source, err := os.ReadFile(original)
	if err != nil {
		return "", err
	}
	if strings.Count(string(source), methodByName) != 1 {
		return "", fmt.Errorf("%s: %q is not there once; another release of Go takes another replacement (render/page/build.go)", original, methodByName)
	}
	if err := os.WriteFile(own, []byte(strings.Replace(string(source), methodByName, "(reflect.Value{})", 1)), 0o600); err != nil {
		return "", err
	}
	replace, err := json.Marshal(map[string]map[string]string{"Replace": {original: own}})
	if err != nil {
		return "", err
	}
	overlay = filepath.Join(dir, "overlay.json")
	return overlay, os.WriteFile(overlay, replace, 0o600)
}

func output(name string, args ...string) (string, error) {
	b, err := exec.Command(name, args...).Output()
	return strings.TrimSpace(string(b)), err
}
