// Package limited reads files up to a limit, with errors of one line.
package limited

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
)

// ReadFile reads a regular file of at most limit bytes.
func ReadFile(path string, limit int64) ([]byte, error) {
	st, err := os.Stat(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	if !st.Mode().IsRegular() { // opening a pipe would wait for its writer
		return nil, fmt.Errorf("%s: is not a file that can be read whole", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fileError(path, err)
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, limit+1))
	if err != nil {
		return nil, fileError(path, err)
	}
	if int64(len(data)) > limit {
		return nil, fmt.Errorf("%s: larger than %d bytes", path, limit)
	}
	return data, nil
}

// fileError says a file error with the path once: "x.toml: no such file or directory".
func fileError(path string, err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return fmt.Errorf("%s: %w", path, err)
}
