// Package results puts what a run has made into a folder, as one whole. The files are written in a
// folder of their own inside it and put in place together at the end; a mark in the folder
// remembers which files the program wrote there and from what. So a run never replaces a file of
// the user's, never one that it reads, and never leaves files of an earlier run beside its own.
package results

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
)

// Run says what a run reads and which files it may write.
type Run struct {
	Dir     string   // the folder for the results; made where it is not there
	Command string   // results of other commands on the same source stay in the folder
	Source  string   // what the results are of: the path of a score, or what stands for it
	Default bool     // Dir was not asked for but made from the name of the source
	Names   []string // files that the run may write, in Dir, with slashes
	Inputs  []string // files that the run reads
	Force   bool     // replace files that the program did not write
}

// Folder is a folder of results in the making. End with Place, and defer Discard.
type Folder struct {
	run   Run
	stage string
	made  bool // the folder was not there before
	mark  mark

	mu   sync.Mutex
	done bool
}

var open struct {
	sync.Mutex
	folders []*Folder
}

// Open checks that the results may go into the folder, before anything is computed, and begins them. It errs
// where a file that would go is read by the run or was not written by the program, and where the
// folder has the results of another source and was not named.
func Open(r Run) (*Folder, error) {
	f := &Folder{run: r}
	switch st, err := os.Stat(r.Dir); {
	case err == nil && !st.IsDir():
		return nil, fmt.Errorf("%s: is a file; the results need a folder (-o)", r.Dir)
	case errors.Is(err, fs.ErrNotExist):
		f.made = true
	case err != nil:
		return nil, plain(r.Dir, err)
	}
	var err error
	if f.mark, err = readMark(r.Dir); err != nil {
		return nil, err
	}
	if err := f.allowed(); err != nil {
		return nil, err
	}
	if err := os.MkdirAll(r.Dir, 0o755); err != nil {
		return nil, plain(r.Dir, err)
	}
	sweep(r.Dir)
	if f.stage, err = os.MkdirTemp(r.Dir, stagePattern()); err != nil {
		f.removeMade()
		return nil, plain(r.Dir, err)
	}
	open.Lock()
	open.folders = append(open.folders, f)
	open.Unlock()
	return f, nil
}

// allowed holds what the run may write, and what it would clear away, against what is in the folder.
func (f *Folder) allowed() error {
	r := f.run
	if r.Default && f.mark.of(r.Command) != nil && f.mark.of(r.Command).Source != digestText(r.Source) && !r.Force {
		return fmt.Errorf("%s has the results of another score of the same name; name a folder with -o, or replace them with --force", r.Dir)
	}
	for _, name := range f.outgoing() {
		path := filepath.Join(r.Dir, filepath.FromSlash(name))
		st, err := os.Stat(path)
		if err != nil {
			if _, err := os.Lstat(path); err == nil && !r.Force {
				return fmt.Errorf("%s: is a link that leads nowhere; remove it, or replace it with --force", path)
			}
			continue
		}
		for _, in := range r.Inputs {
			if is, err := os.Stat(in); err == nil && os.SameFile(st, is) {
				return fmt.Errorf("%s: is read by this run and would be replaced by its results; name another folder with -o", path)
			}
		}
		if st.IsDir() {
			return fmt.Errorf("%s: is a folder where a file of the results goes; name another folder with -o", path)
		}
		if slices.Contains(r.Names, name) && !r.Force && !f.mark.wrote(name, path) {
			return fmt.Errorf("%s: was not written by this program, or was changed since; name another folder with -o, or replace it with --force", path)
		}
	}
	return nil
}

// outgoing are the files that the run may replace or clear away.
func (f *Folder) outgoing() []string {
	names := slices.Clone(f.run.Names)
	for _, m := range f.mark.Results {
		if m.Command == f.run.Command || m.Source != digestText(f.run.Source) {
			for _, file := range m.Files {
				names = append(names, file.Name)
			}
		}
	}
	slices.Sort(names)
	return slices.Compact(names)
}

// Dir is the folder in which the results are written until Place: folders below it have to be made.
func (f *Folder) Dir() string { return f.stage }

// Place puts the results in place of the earlier ones of the command, and of all that are of
// another source. Pages and tables go first and come last: wherever the program is killed, no page
// stands beside sound or notes that are not its own.
func (f *Folder) Place() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.done {
		return errors.New("the results were discarded")
	}
	names, err := filesIn(f.stage)
	if err != nil {
		return err
	}
	slices.SortStableFunc(names, func(a, b string) int { return pageRank(a) - pageRank(b) })
	now := marked{Command: f.run.Command, Source: digestText(f.run.Source)}
	for _, name := range names {
		d, err := digestFile(filepath.Join(f.stage, filepath.FromSlash(name)))
		if err != nil {
			return err
		}
		now.Files = append(now.Files, markedFile{name, d})
	}
	kept, gone := f.mark.split(f.run.Command, now.Source)
	between := now
	for _, m := range gone {
		between.Files = append(between.Files, m.Files...)
	}
	if err := (mark{append(slices.Clone(kept), between)}).write(f.run.Dir); err != nil {
		return err
	}
	f.clear(gone)
	for _, name := range names {
		to := filepath.Join(f.run.Dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(to), 0o755); err != nil {
			return plain(to, err)
		}
		if err := os.Rename(filepath.Join(f.stage, filepath.FromSlash(name)), to); err != nil {
			return plain(to, err)
		}
	}
	if err := (mark{append(kept, now)}).write(f.run.Dir); err != nil {
		return err
	}
	f.made = false
	f.end()
	return nil
}

// clear removes earlier results as far as they are still what the program wrote.
func (f *Folder) clear(gone []marked) {
	for _, m := range gone {
		files := slices.Clone(m.Files)
		slices.SortStableFunc(files, func(a, b markedFile) int { return pageRank(b.Name) - pageRank(a.Name) })
		for _, file := range files {
			path := filepath.Join(f.run.Dir, filepath.FromSlash(file.Name))
			if f.run.Force && slices.Contains(f.run.Names, file.Name) || f.mark.wrote(file.Name, path) {
				_ = os.Remove(path)
				if d := filepath.Dir(path); d != filepath.Clean(f.run.Dir) {
					_ = os.Remove(d) // succeeds only where it is empty
				}
			}
		}
	}
}

// Discard drops the results that were not placed. After Place it does nothing.
func (f *Folder) Discard() { f.discard() }

func (f *Folder) discard() bool {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.end()
}

// end removes what was not placed, and says whether there was something to end.
func (f *Folder) end() bool {
	if f.done {
		return false
	}
	f.done = true
	for range 5 { // a writer that has not yet heard that it is over may still add a file
		if os.RemoveAll(f.stage) == nil {
			break
		}
	}
	f.removeMade()
	open.Lock()
	defer open.Unlock()
	open.folders = slices.DeleteFunc(open.folders, func(x *Folder) bool { return x == f })
	return true
}

func (f *Folder) removeMade() {
	if f.made {
		_ = os.Remove(f.run.Dir)
	}
}

// DiscardAll drops all results in the making and says how many; those that are being put in place are
// waited for.
func DiscardAll() (dropped int) {
	open.Lock()
	all := slices.Clone(open.folders)
	open.Unlock()
	for _, f := range all {
		if f.discard() {
			dropped++
		}
	}
	return dropped
}

// pageRank orders files for placing: what pages lead to, then tables for programs, then pages, those of the
// whole last.
func pageRank(name string) int {
	rank := 0
	switch filepath.Ext(name) {
	case ".json", ".csv":
		rank = 2
	case ".html":
		rank = 4
	}
	if rank > 0 && !strings.Contains(name, "/") {
		rank++
	}
	return rank
}

// filesIn lists the files below a folder, with slashes, in order of name.
func filesIn(dir string) ([]string, error) {
	var names []string
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		names = append(names, filepath.ToSlash(rel))
		return err
	})
	return names, err
}

// plain says a file error once: "x.proof: no space left on device".
func plain(path string, err error) error {
	var pe *fs.PathError
	var le *os.LinkError
	switch {
	case errors.As(err, &pe):
		err = pe.Err
	case errors.As(err, &le):
		err = le.Err
	}
	return fmt.Errorf("%s: %w", path, err)
}

// CheckFile says whether a single file may be written: not over one that the run reads, and over one
// that is there only by force. An empty path is no file.
func CheckFile(path string, force bool, inputs ...string) error {
	if path == "" {
		return nil
	}
	st, err := os.Stat(path)
	if err != nil {
		return nil // nothing there, or what cannot be written either
	}
	for _, in := range inputs {
		if is, err := os.Stat(in); err == nil && os.SameFile(st, is) {
			return fmt.Errorf("%s: is read by this run and would be replaced by its result; give another name", path)
		}
	}
	if st.IsDir() {
		return fmt.Errorf("%s: is a folder; name a file", path)
	}
	if !force && st.Mode().IsRegular() {
		return fmt.Errorf("%s: is there already; give another name, or replace it with --force", path)
	}
	return nil
}
