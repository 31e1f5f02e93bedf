// Command licences gathers the notices of what is compiled into afterchord, for all systems that it is
// released for: the Go modules that `go list` names, and Go itself.
//
//	go run ./cmd/licences > cmd/afterchord/licences.txt
package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
)

// systems that programs are released for; a module may be used on one of them alone.
var systems = []string{"windows/amd64", "windows/arm64", "darwin/arm64", "darwin/amd64", "linux/amd64", "linux/arm64", "js/wasm"}

// notices are the names of files that a licence asks to be passed on.
var notices = regexp.MustCompile(`(?i)^(un)?(licen[cs]e|copying|notice|patents|authors|third[-_]party.*)([-._].*)?$`)

func main() {
	text, err := gather(".")
	if err != nil {
		fmt.Fprintln(os.Stderr, "licences:", err)
		os.Exit(1)
	}
	os.Stdout.Write(text)
}

// module is a name with its version, and where its files are.
type module struct{ name, dir string }

// gather writes all notices of the program whose module is in dir, those with the same text once.
func gather(dir string) ([]byte, error) {
	modules, err := modulesOf(dir)
	if err != nil {
		return nil, err
	}
	byText := map[string][]string{}
	var texts []string
	for _, m := range modules {
		found, err := noticesOf(m.dir)
		if err != nil {
			return nil, err
		}
		if len(found) == 0 {
			return nil, fmt.Errorf("%s has no licence in %s", m.name, m.dir)
		}
		for _, text := range found {
			if byText[text] == nil {
				texts = append(texts, text)
			}
			if !slices.Contains(byText[text], m.name) {
				byText[text] = append(byText[text], m.name)
			}
		}
	}
	var b bytes.Buffer
	for _, text := range texts {
		fmt.Fprintf(&b, "%s\n%s\n\n%s\n\n\n", strings.Join(byText[text], "\n"), strings.Repeat("-", 72), text)
	}
	return b.Bytes(), nil
}

// modulesOf lists the modules whose packages are in the program on any of the systems, by name; Go comes first.
func modulesOf(dir string) ([]module, error) {
	root, err := run(dir, nil, "env", "GOROOT")
	if err != nil {
		return nil, err
	}
	seen := map[string]module{}
	for _, system := range systems {
		os, arch, _ := strings.Cut(system, "/")
		list, err := run(dir, []string{"GOOS=" + os, "GOARCH=" + arch, "CGO_ENABLED=0"}, "list", "-deps",
			"-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}\t{{.Dir}}{{end}}{{end}}", "./cmd/afterchord")
		if err != nil {
			return nil, err
		}
		for line := range strings.Lines(list) {
			if name, at, ok := strings.Cut(strings.TrimSpace(line), "\t"); ok {
				seen[name] = module{name, at}
			}
		}
	}
	all := []module{}
	for _, m := range seen {
		all = append(all, m)
	}
	slices.SortFunc(all, func(a, b module) int { return strings.Compare(a.name, b.name) })
	return append([]module{{"Go, its library and runtime", strings.TrimSpace(root)}}, all...), nil
}

func run(dir string, env []string, arguments ...string) (string, error) {
	c := exec.Command("go", arguments...)
	c.Dir, c.Env, c.Stderr = dir, append(os.Environ(), env...), os.Stderr
	out, err := c.Output()
	if err != nil {
		return "", fmt.Errorf("go %s: %w", strings.Join(arguments, " "), err)
	}
	return string(out), nil
}

// noticesOf reads them from a module's top folder, in the order of their names, with plain line ends.
func noticesOf(dir string) ([]string, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, err
	}
	var texts []string
	for _, e := range entries {
		if !e.Type().IsRegular() || !notices.MatchString(e.Name()) || strings.HasSuffix(e.Name(), ".go") {
			continue
		}
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			return nil, err
		}
		texts = append(texts, strings.TrimSpace(strings.ReplaceAll(string(data), "\r\n", "\n")))
	}
	return texts, nil
}
