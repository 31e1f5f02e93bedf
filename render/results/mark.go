package results

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"

	"afterchord/acoustics/atomicfile"
)

// markName is the file in a folder of results that says what the program wrote there.
const markName = ".afterchord-results.json"

// mark lists the results in a folder.
type mark struct {
	Results []marked `json:"results"`
}

// marked is the result of one command.
type marked struct {
	Command string       `json:"command"`
	Source  string       `json:"source"` // a digest: results may be handed on, paths should not
	Files   []markedFile `json:"files"`
}

type markedFile struct {
	Name   string `json:"name"`
	Digest string `json:"digest"`
}

func readMark(dir string) (mark, error) {
	var m mark
	path := filepath.Join(dir, markName)
	data, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return m, nil
	}
	if err != nil {
		return m, plain(path, err)
	}
	if err := json.Unmarshal(data, &m); err != nil {
		return m, fmt.Errorf("%s: cannot be read (%v); remove it, or name another folder with -o", path, err)
	}
	for i := range m.Results {
		// names that lead out of the folder were not written by the program
		m.Results[i].Files = slices.DeleteFunc(m.Results[i].Files, func(f markedFile) bool { return !filepath.IsLocal(filepath.FromSlash(f.Name)) })
	}
	return m, nil
}

// write puts the mark into the folder. It stands and falls with the results, and is as [atomicfile.Recomputable] as they: where
// it is lost, results count as files of the user's.
func (m mark) write(dir string) error {
	data, err := json.MarshalIndent(m, "", " ")
	if err != nil {
		return err
	}
	path := filepath.Join(dir, markName)
	if err := atomicfile.WriteFile(path, append(data, '\n'), atomicfile.Recomputable); err != nil {
		return plain(path, err)
	}
	return nil
}

// of is the result of a command, nil where there is none.
func (m mark) of(command string) *marked {
	for i := range m.Results {
		if m.Results[i].Command == command {
			return &m.Results[i]
		}
	}
	return nil
}

// split parts the results that stay from those that a new one of a command and a source takes the place of.
func (m mark) split(command, source string) (kept, gone []marked) {
	for _, r := range m.Results {
		if r.Command == command || r.Source != source {
			gone = append(gone, r)
		} else {
			kept = append(kept, r)
		}
	}
	return kept, gone
}

// wrote says whether the file at path is one that the program wrote under the name, as it was written.
func (m mark) wrote(name, path string) bool {
	st, err := os.Lstat(path)
	if err != nil || !st.Mode().IsRegular() {
		return false
	}
	digest := ""
	for _, r := range m.Results {
		for _, f := range r.Files {
			if f.Name != name {
				continue
			}
			if digest == "" {
				if digest, err = digestFile(path); err != nil {
					return false
				}
			}
			if f.Digest == digest {
				return true
			}
		}
	}
	return false
}

// digestStart is how much of a file is digested beside its length, bytes: all of a score or a table.
const digestStart = 16 << 20

func digestFile(path string) (string, error) {
	f, err := os.Open(path)
	if err != nil {
		return "", plain(path, err)
	}
	defer f.Close()
	st, err := f.Stat()
	if err != nil {
		return "", plain(path, err)
	}
	h := sha256.New()
	fmt.Fprintln(h, st.Size())
	if _, err := io.Copy(h, io.LimitReader(f, digestStart)); err != nil {
		return "", plain(path, err)
	}
	return hex.EncodeToString(h.Sum(nil)), nil
}

func digestText(s string) string {
	h := sha256.Sum256([]byte(s))
	return hex.EncodeToString(h[:8])
}
