package atomicfile

import (
	"errors"
	"io/fs"
	"os"
	"syscall"
	"time"
)

// ERROR_SHARING_VIOLATION and ERROR_LOCK_VIOLATION of the Windows system error codes (0 to 499).
const (
	errorSharingViolation = syscall.Errno(32)
	errorLockViolation    = syscall.Errno(33)
)

// replace renames, over a file that is there. Virus scanners and indexers hold new files open
// for some tens of milliseconds, and no name can be moved or replaced meanwhile: waits up to 1.3 s in all.
func replace(from, to string) error {
	err := os.Rename(from, to)
	for wait := 5 * time.Millisecond; err != nil && heldOpen(err) && wait < time.Second; wait *= 2 {
		time.Sleep(wait)
		err = os.Rename(from, to)
	}
	return err
}

// heldOpen is true for the errors that mean another program has one of the two files open.
// Windows says that access is denied where it is the file to be replaced.
func heldOpen(err error) bool {
	return errors.Is(err, errorSharingViolation) || errors.Is(err, errorLockViolation) || errors.Is(err, syscall.ERROR_ACCESS_DENIED)
}

// keepPermissions has nothing to do: the new file has the rights of its folder, as the old one
// had, and a file that is marked read-only is not replaced.
func keepPermissions(*os.File, fs.FileMode) error { return nil }
