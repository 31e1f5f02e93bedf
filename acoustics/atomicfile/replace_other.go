//go:build !windows

package atomicfile

import (
	"io/fs"
	"os"
)

func replace(from, to string) error { return os.Rename(from, to) }

func keepPermissions(f *os.File, perm fs.FileMode) error {
	now, err := f.Stat()
	if err != nil || now.Mode().Perm() == perm {
		return err
	}
	return f.Chmod(perm)
}
