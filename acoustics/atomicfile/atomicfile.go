// Package atomicfile writes files that appear whole or not at all: the bytes go into a file
// beside the final name, which then takes that name. Whoever opens the name meanwhile finds the
// old file, and a failure or a kill leaves it as it was.
package atomicfile

import (
	"errors"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
)

// Files that are being written have these around a random number. The name is short whatever the final one is.
const (
	prefix = ".afterchord-"
	suffix = ".tmp"
)

// newFilePermissions are those of a file that was not there before, less the umask.
const newFilePermissions = 0o644

// IsTemporary says whether a file of this base name is one that is being written, or was when
// the program was killed.
func IsTemporary(name string) bool {
	return strings.HasPrefix(name, prefix) && strings.HasSuffix(name, suffix)
}

// Option says how a file is written; without one it is flushed to the disk before it takes its name.
type Option int

// Recomputable is for files that the program can make again from what it made them of. They take their
// name before the disk has them: nothing is waited for, which costs a millisecond a file on a quick disk and many on a slow one. No
// kill or failure shows half of such a file either, but after a power cut some seconds later it may be empty or the old one. What
// a person made never goes without the flush.
const Recomputable Option = 1

// File is a file in the making. It is not safe for use by several goroutines.
type File struct {
	*os.File
	path         string
	recomputable bool
	done         bool
}

// Create begins the file path, in its folder. End with Commit, and defer Abort. Errors are
// those of the operating system, with the path asked for.
func Create(path string, options ...Option) (*File, error) {
	old, err := os.Lstat(path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	if err == nil && old.IsDir() {
		return nil, &fs.PathError{Op: "create", Path: path, Err: syscall.EISDIR}
	}
	file, err := createBeside(path)
	if err != nil {
		return nil, err
	}
	f := &File{File: file, path: path, recomputable: slices.Contains(options, Recomputable)}
	if old != nil && old.Mode().IsRegular() {
		if err := keepPermissions(file, old.Mode().Perm()); err != nil {
			f.Abort()
			return nil, withPath(err, "create", path)
		}
	}
	return f, nil
}

// createBeside opens a new file in the folder of path. os.CreateTemp would make it private.
func createBeside(path string) (*os.File, error) {
	for attempt := 0; ; attempt++ {
		name := filepath.Join(filepath.Dir(path), prefix+strconv.FormatUint(rand.Uint64(), 36)+suffix)
		f, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_EXCL, newFilePermissions)
		if err == nil {
			return f, nil
		}
		if !errors.Is(err, fs.ErrExist) || attempt == 100 {
			return nil, withPath(err, "create", path)
		}
	}
}

// Commit flushes the file to the disk, unless it is [Recomputable], and gives it its name. After an error there is no new
// file, and the old one, if any, is as it was.
func (f *File) Commit() error {
	if !f.recomputable {
		// Without this, a file of no length under the new name is a legal outcome of a power cut.
		if err := f.Sync(); err != nil && !cannotSync(err) {
			f.Abort()
			return withPath(err, "write", f.path)
		}
	}
	f.done = true
	err := f.File.Close()
	if err == nil {
		err = replace(f.Name(), f.path)
	}
	if err != nil {
		_ = os.Remove(f.Name())
		return withPath(err, "replace", f.path)
	}
	return nil
}

// Abort drops the file. After Commit or another Abort it does nothing.
func (f *File) Abort() {
	if f.done {
		return
	}
	f.done = true
	_ = f.File.Close()
	_ = os.Remove(f.Name())
}

// WriteFile writes data as the whole of the file path.
func WriteFile(path string, data []byte, options ...Option) error {
	return Write(path, func(w io.Writer) error {
		_, err := w.Write(data)
		return err
	}, options...)
}

// Write has fill write the file path. If fill fails, its error is returned and no file is left.
func Write(path string, fill func(io.Writer) error, options ...Option) error {
	f, err := Create(path, options...)
	if err != nil {
		return err
	}
	defer f.Abort()
	if err := fill(f); err != nil {
		if pathError := (*fs.PathError)(nil); errors.As(err, &pathError) && pathError.Path == f.Name() {
			err = withPath(err, pathError.Op, path)
		}
		return err
	}
	return f.Commit()
}

// cannotSync is true for an error of a file system that has no flush to offer (some network
// drives): no fault of the file's.
func cannotSync(err error) bool {
	return errors.Is(err, errors.ErrUnsupported) || errors.Is(err, syscall.EINVAL)
}

// withPath names the file that was asked for in place of the one beside it, which nobody knows.
func withPath(err error, op, path string) error {
	var pathError *fs.PathError
	var linkError *os.LinkError
	switch {
	case errors.As(err, &pathError):
		err = pathError.Err
	case errors.As(err, &linkError):
		err = linkError.Err
	}
	return &fs.PathError{Op: op, Path: path, Err: err}
}
