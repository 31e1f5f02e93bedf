//go:build !js

package desk

import (
	"io"
	"os"
)

// aside is a stretch of a file that waits on the disk.
type aside struct{ file *os.File }

// asideError is a failure of this machine's disk, not of the sender.
type asideError struct{ error }

func (e *asideError) Unwrap() error { return e.error }

// putAside writes what there is to read to a file of its own, which goes when the program ends or drops it.
func putAside(from io.Reader) (a *aside, n int64, err error) {
	f, err := os.CreateTemp("", "afterchord-file-")
	if err != nil {
		return nil, 0, &asideError{err}
	}
	_ = os.Remove(f.Name()) // no name is needed; Windows keeps it until drop
	a = &aside{f}
	n, err = io.Copy(writing{f}, from)
	return a, n, err
}

// writing tells the disk's errors from the reader's.
type writing struct{ to io.Writer }

func (w writing) Write(p []byte) (int, error) {
	n, err := w.to.Write(p)
	if err != nil {
		err = &asideError{err}
	}
	return n, err
}

// after gives head with what was put aside behind it, n bytes in all.
func (a *aside) after(head []byte, n int64) ([]byte, error) {
	if a == nil {
		return head, nil
	}
	data := make([]byte, n)
	copy(data, head)
	_, err := a.file.ReadAt(data[len(head):], 0)
	if err == io.EOF && int64(len(head)) == n {
		err = nil
	}
	return data, err
}

func (a *aside) drop() {
	if a != nil {
		a.file.Close()
		_ = os.Remove(a.file.Name())
	}
}
