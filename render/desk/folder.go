package desk

import (
	"bufio"
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"afterchord/acoustics/atomicfile"
)

// folder is a shelf of plain files: DIR/ID/project.json and the project's files beside it. A save first goes
// into journal.jsonl (one whole project a line, flushed to the disk) and then replaces project.json by
// renaming, so that a save that was cut short leaves the last whole state.
type folder struct {
	dir string

	// step is called before each change on the disk, with its name; tests fail or stop there.
	step func(name string) error
}

// journalBound is the size beyond which the journal starts anew.
const journalBound = 1 << 20

func openFolder(dir string) (*folder, error) {
	if dir == "" {
		return nil, errors.New("no folder for the projects")
	}
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return nil, fmt.Errorf("projects: %w", err)
	}
	return &folder{dir: dir, step: func(string) error { return nil }}, nil
}

func (f *folder) path(id string) string { return filepath.Join(f.dir, id) }

func (f *folder) Projects() ([]Kept, error) {
	entries, err := os.ReadDir(f.dir)
	if err != nil {
		return nil, err
	}
	var out []Kept
	for _, e := range entries {
		if !e.IsDir() || !idPattern.MatchString(e.Name()) {
			continue
		}
		if st, err := os.Stat(filepath.Join(f.path(e.Name()), "journal.jsonl")); err == nil {
			out = append(out, Kept{e.Name(), st.ModTime()})
		}
	}
	return out, nil
}

func (f *folder) Make(id string) error { return os.Mkdir(f.path(id), 0o755) }

func (f *folder) Remove(id string) error { return os.RemoveAll(f.path(id)) }

// States are project.json and the lines of the journal.
func (f *folder) States(id string) ([][]byte, error) {
	var out [][]byte
	whole, err := f.read(id, "project.json")
	if err == nil {
		out = append(out, whole)
	}
	journal, jerr := f.read(id, "journal.jsonl")
	if jerr == nil {
		lines := bufio.NewScanner(bytes.NewReader(journal))
		lines.Buffer(nil, 1<<28) // a line may be longer than the bound: it holds all versions of a project
		for lines.Scan() {
			out = append(out, bytes.Clone(lines.Bytes()))
		}
	}
	if len(out) == 0 && err != nil {
		return nil, err
	}
	return out, nil
}

func (f *folder) Save(id string, _ int, state []byte) error {
	if err := f.journal(id, append(bytes.Clone(state), '\n')); err != nil {
		return err
	}
	var whole bytes.Buffer
	if err := json.Indent(&whole, state, "", " "); err != nil {
		return err
	}
	whole.WriteByte('\n')
	// The state is safe in the journal: a failure from here on loses nothing.
	if f.Write(id, "project.json", whole.Bytes()) == nil {
		f.trim(id, state)
	}
	return nil
}

func (f *folder) Read(id, file string) ([]byte, error) { return f.read(id, file) }

// read reads a regular file that lies in the project's folder: a link there could lead anywhere.
func (f *folder) read(id, file string) ([]byte, error) {
	for _, path := range []string{f.path(id), filepath.Join(f.path(id), file)} {
		st, err := os.Lstat(path)
		switch {
		case err != nil:
			return nil, err
		case st.Mode()&fs.ModeSymlink != 0:
			return nil, errLink
		}
	}
	return os.ReadFile(filepath.Join(f.path(id), file))
}

var errLink = errors.New("it is a link to another place; put the file itself there")

func (f *folder) Has(id, file string) (bool, error) {
	_, err := os.Lstat(filepath.Join(f.path(id), file))
	if errors.Is(err, fs.ErrNotExist) {
		return false, nil
	}
	return true, err
}

// journal appends a line. What a cut-short save left without its line end is ended first.
func (f *folder) journal(id string, line []byte) error {
	if err := f.step("journal"); err != nil {
		return err
	}
	name := filepath.Join(f.path(id), "journal.jsonl")
	if st, err := os.Lstat(name); err == nil && st.Mode()&fs.ModeSymlink != 0 {
		return errLink
	}
	file, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return err
	}
	defer file.Close()
	end, err := file.Seek(0, 2)
	if err != nil {
		return err
	}
	if end > 0 {
		last := make([]byte, 1)
		if _, err := file.ReadAt(last, end-1); err == nil && last[0] != '\n' {
			line = append([]byte{'\n'}, line...)
		}
	}
	if _, err := file.WriteAt(line, end); err != nil {
		_ = file.Truncate(end) // half a line is of no use
		return err
	}
	err = f.step("flush")
	if err == nil {
		err = file.Sync()
	}
	if err != nil {
		_ = file.Truncate(end)
		return err
	}
	return nil
}

// trim starts the journal anew with the state just saved once it has grown.
func (f *folder) trim(id string, line []byte) {
	if st, err := os.Stat(filepath.Join(f.path(id), "journal.jsonl")); err == nil && st.Size() > journalBound {
		_ = f.Write(id, "journal.jsonl", append(bytes.Clone(line), '\n'))
	}
}

// Write puts a whole file in place or none.
func (f *folder) Write(id, file string, data []byte) error {
	if err := f.step("write " + file); err != nil {
		return err
	}
	if err := atomicfile.WriteFile(filepath.Join(f.path(id), file), data); err != nil {
		return err
	}
	return nil
}

// withoutPath keeps paths of the server's disk away from the page.
func withoutPath(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	var le *os.LinkError
	if errors.As(err, &le) {
		err = le.Err
	}
	return err
}
