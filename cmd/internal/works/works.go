// Package works reads folders of scores for the commands that measure the program on many.
package works

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"unicode"

	"afterchord/sim/score"
	"afterchord/sim/score/file"
)

// Work is one score of a folder.
type Work struct {
	Name  string // file name without its ending
	Score *score.Score
}

// Composer is the name's letters up to the first digit or break: "bach" of "bach528-2".
func (w Work) Composer() string {
	i := strings.IndexFunc(w.Name, func(r rune) bool { return !unicode.IsLower(r) })
	if i < 0 {
		return w.Name
	}
	return w.Name[:i]
}

// Read reads every score of a folder, by name. A file that is no score is left out; one that is and
// cannot be read is an error.
func Read(folder string) ([]Work, error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, err
	}
	var out []Work
	for _, e := range entries {
		ext := strings.ToLower(filepath.Ext(e.Name()))
		if e.IsDir() || !slices.Contains([]string{".mid", ".midi", ".xml", ".musicxml", ".mxl"}, ext) {
			continue
		}
		s, err := read(filepath.Join(folder, e.Name()))
		if err != nil {
			return nil, err
		}
		out = append(out, Work{strings.TrimSuffix(e.Name(), filepath.Ext(e.Name())), s})
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: no scores; put .mid, .musicxml or .mxl files there", folder)
	}
	return out, nil
}

func read(path string) (*score.Score, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	return file.Read(data, filepath.Base(path))
}

// Both reads the folders organ and piano below dir; one may be missing.
func Both(dir string) (organ, piano []Work, err error) {
	if organ, err = Read(filepath.Join(dir, "organ")); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, nil, err
	}
	if piano, err = Read(filepath.Join(dir, "piano")); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, nil, err
	}
	if len(organ)+len(piano) == 0 {
		return nil, nil, fmt.Errorf("%s: no folder organ or piano in it", dir)
	}
	return organ, piano, nil
}
