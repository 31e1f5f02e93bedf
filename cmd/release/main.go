// Command release builds the program for every system and packs it with its licences, and makes the page that is one
// file: archives and page, a bill of materials for each (CycloneDX) and the checksums of all. The same commit gives the
// same bytes.
//
//	go run ./cmd/release -o dist
package main

import (
	"archive/tar"
	"archive/zip"
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"debug/buildinfo"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"runtime"
	"runtime/debug"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/CycloneDX/cyclonedx-go"

	"afterchord/acoustics/atomicfile"
	"afterchord/render/engraving"
	"afterchord/render/page"
	"afterchord/sim/proof"
)

// system is one that programs are built for.
type system struct{ os, arch string }

var systems = []system{{"windows", "amd64"}, {"windows", "arm64"}, {"darwin", "arm64"}, {"darwin", "amd64"}, {"linux", "amd64"}, {"linux", "arm64"}}

// name of an archive without its ending, as people know the system.
func (s system) name() string {
	os := s.os
	if os == "darwin" {
		os = "macos"
	}
	return fmt.Sprintf("afterchord-%s-%s-%s", proof.Version, os, s.arch)
}

func main() {
	out := flag.String("o", "dist", "folder of the archives")
	draft := flag.Bool("draft", false, "pack the files as they are, committed or not")
	flag.Parse()
	if err := run(*out, *draft); err != nil {
		fmt.Fprintln(os.Stderr, "release:", err)
		os.Exit(1)
	}
}

func run(out string, draft bool) error {
	if _, ok := engraving.Library(); !ok {
		return fmt.Errorf("the engraving library is missing: run make engraving (it takes npm)")
	}
	changed, err := command(nil, "git", "status", "--porcelain")
	if err != nil {
		return err
	}
	if changed != "" && !draft {
		return fmt.Errorf("there are files that are not committed, so nobody could make the same archives again; commit, or give -draft")
	}
	stamp, err := command(nil, "git", "log", "-1", "--format=%ct")
	if err != nil {
		return err
	}
	seconds, err := strconv.ParseInt(stamp, 10, 64)
	if err != nil {
		return err
	}
	at := time.Unix(seconds, 0).UTC()
	if err := os.MkdirAll(out, 0o755); err != nil {
		return err
	}
	work, err := os.MkdirTemp("", "afterchord-release-")
	if err != nil {
		return err
	}
	defer os.RemoveAll(work)
	papers, err := papers()
	if err != nil {
		return err
	}
	var sums strings.Builder
	write := func(name string, data []byte) error {
		fmt.Fprintf(&sums, "%x  %s\n", sha256.Sum256(data), name)
		return atomicfile.WriteFile(filepath.Join(out, name), data)
	}
	for _, s := range systems {
		archive, bill, err := build(s, work, papers, at)
		if err != nil {
			return fmt.Errorf("%s/%s: %w", s.os, s.arch, err)
		}
		ending := ".tar.gz"
		if s.os == "windows" {
			ending = ".zip"
		}
		if err := write(s.name()+ending, archive); err != nil {
			return err
		}
		if err := write(s.name()+".cdx.json", bill); err != nil {
			return err
		}
		fmt.Printf("%s%s  %.1f MB\n", s.name(), ending, float64(len(archive))/1e6)
	}
	if err := writePage(write, at); err != nil {
		return err
	}
	return atomicfile.WriteFile(filepath.Join(out, fmt.Sprintf("afterchord-%s-sha256.txt", proof.Version)), []byte(sums.String()))
}

// writePage makes the page that is one file, the policy that a server may send with it, and its bill.
func writePage(write func(name string, data []byte) error, at time.Time) error {
	data, policy, err := page.Build()
	if err != nil {
		return err
	}
	modules, err := command([]string{"GOOS=js", "GOARCH=wasm"}, "go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}} {{.Version}}{{end}}{{end}}", page.Program)
	if err != nil {
		return err
	}
	info := &debug.BuildInfo{GoVersion: runtime.Version()}
	for _, line := range slices.Compact(slices.Sorted(strings.SplitSeq(modules, "\n"))) {
		if path, version, ok := strings.Cut(line, " "); ok {
			info.Deps = append(info.Deps, &debug.Module{Path: path, Version: version})
		}
	}
	bill, err := billOf("as a page in a browser", data, info, at)
	if err != nil {
		return err
	}
	for _, f := range []entry{{name: "afterchord.html", data: data}, {name: "afterchord.policy.txt", data: []byte(policy + "\n")}, {name: "afterchord.html.cdx.json", data: bill}} {
		if err := write(f.name, f.data); err != nil {
			return err
		}
	}
	fmt.Printf("afterchord.html  %.1f MB\n", float64(len(data))/1e6)
	return nil
}

// entry is a file of an archive.
type entry struct {
	name string
	data []byte
	mode os.FileMode
}

// papers are what goes beside the program: the README with all that it links to, so that its links lead somewhere.
func papers() ([]entry, error) {
	readme, err := os.ReadFile("README.md")
	if err != nil {
		return nil, err
	}
	list := []entry{{"README.md", readme, 0o644}}
	for _, name := range append([]string{"LICENSE"}, linked(readme)...) {
		data, err := os.ReadFile(name)
		if err != nil {
			return nil, err
		}
		list = append(list, entry{name, data, 0o644})
	}
	notices, err := os.ReadFile("cmd/afterchord/licences.txt")
	if err != nil {
		return nil, err
	}
	library, _ := engraving.Library()
	return append(list, entry{"LICENCES.txt", append(notices, library.Licences...), 0o644}), nil
}

// link finds the files that a page in Markdown links to.
var link = regexp.MustCompile(`\]\(([\w./-]+)\)`)

// linked lists them, each once.
func linked(page []byte) []string {
	var names []string
	for _, m := range link.FindAllSubmatch(page, -1) {
		names = append(names, string(m[1]))
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// build makes the archive of a system and the bill of what is in its program.
func build(s system, work string, papers []entry, at time.Time) (archive, bill []byte, err error) {
	program := "afterchord"
	if s.os == "windows" {
		program += ".exe"
	}
	file := filepath.Join(work, s.name(), program)
	if _, err := command([]string{"GOOS=" + s.os, "GOARCH=" + s.arch, "CGO_ENABLED=0"},
		"go", "build", "-trimpath", "-buildvcs=false", "-ldflags=-s -w -buildid=", "-o", file, "./cmd/afterchord"); err != nil {
		return nil, nil, err
	}
	data, err := os.ReadFile(file)
	if err != nil {
		return nil, nil, err
	}
	info, err := buildinfo.ReadFile(file)
	if err != nil {
		return nil, nil, err
	}
	if bill, err = billOf(fmt.Sprintf("for %s on %s", s.os, s.arch), data, info, at); err != nil {
		return nil, nil, err
	}
	pack := packTar
	if s.os == "windows" {
		pack = packZip
	}
	archive, err = pack(s.name(), append([]entry{{program, data, 0o755}}, papers...), at)
	return archive, bill, err
}

func packZip(folder string, entries []entry, at time.Time) ([]byte, error) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, e := range entries {
		h := &zip.FileHeader{Name: folder + "/" + e.name, Method: zip.Deflate, Modified: at}
		h.SetMode(e.mode)
		w, err := z.CreateHeader(h)
		if err == nil {
			_, err = w.Write(e.data)
		}
		if err != nil {
			return nil, err
		}
	}
	err := z.Close()
	return b.Bytes(), err
}

func packTar(folder string, entries []entry, at time.Time) ([]byte, error) {
	var b bytes.Buffer
	g, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	t := tar.NewWriter(g)
	for _, e := range entries {
		err := t.WriteHeader(&tar.Header{Name: folder + "/" + e.name, Mode: int64(e.mode), Size: int64(len(e.data)), ModTime: at, Format: tar.FormatUSTAR})
		if err == nil {
			_, err = t.Write(e.data)
		}
		if err != nil {
			return nil, err
		}
	}
	if err := t.Close(); err != nil {
		return nil, err
	}
	err = g.Close()
	return b.Bytes(), err
}

// billOf lists the modules that a program says it was built from, Go, and what the engraving library is made of.
func billOf(description string, program []byte, info *debug.BuildInfo, at time.Time) ([]byte, error) {
	sum := fmt.Sprintf("%x", sha256.Sum256(program))
	bom := cyclonedx.NewBOM()
	bom.Metadata = &cyclonedx.Metadata{Timestamp: at.Format(time.RFC3339), Component: &cyclonedx.Component{
		BOMRef: "afterchord", Type: cyclonedx.ComponentTypeApplication, Name: "afterchord", Version: proof.Version,
		Description: description,
		Hashes:      &[]cyclonedx.Hash{{Algorithm: cyclonedx.HashAlgoSHA256, Value: sum}}}}
	parts := []cyclonedx.Component{{BOMRef: "std", Type: cyclonedx.ComponentTypeLibrary, Name: "std", Version: info.GoVersion,
		PackageURL: "pkg:golang/std@" + strings.TrimPrefix(info.GoVersion, "go")}}
	needs := []string{"std"}
	for _, m := range info.Deps {
		if m.Replace != nil {
			m = m.Replace
		}
		url := "pkg:golang/" + m.Path + "@" + m.Version
		parts = append(parts, cyclonedx.Component{BOMRef: url, Type: cyclonedx.ComponentTypeLibrary, Name: m.Path, Version: m.Version, PackageURL: url})
		needs = append(needs, url)
	}
	library, _ := engraving.Library()
	for _, m := range ofLibrary.FindAllStringSubmatch(library.Licences, -1) {
		url := "pkg:npm/" + m[1] + "@" + m[2]
		parts = append(parts, cyclonedx.Component{BOMRef: url, Type: cyclonedx.ComponentTypeLibrary, Name: m[1], Version: m[2], PackageURL: url})
		needs = append(needs, url)
	}
	bom.Components = &parts
	bom.Dependencies = &[]cyclonedx.Dependency{{Ref: "afterchord", Dependencies: &needs}}
	var b bytes.Buffer
	err := cyclonedx.NewBOMEncoder(&b, cyclonedx.BOMFileFormatJSON).SetPretty(true).Encode(bom)
	return b.Bytes(), err
}

// ofLibrary finds the headings of the engraving library's licences: name, version, licence.
var ofLibrary = regexp.MustCompile(`(?m)^([a-z@][\w@/.-]*) (\d[\w.-]*) \(.+\)$`)

// command runs one and gives what it printed, without the last line end.
func command(env []string, name string, arguments ...string) (string, error) {
	c := exec.Command(name, arguments...)
	c.Env = append(os.Environ(), env...)
	var failed bytes.Buffer
	c.Stderr = &failed
	out, err := c.Output()
	if err != nil {
		return "", fmt.Errorf("%s: %w: %s", name, err, strings.TrimSpace(failed.String()))
	}
	return strings.TrimSpace(string(out)), nil
}
