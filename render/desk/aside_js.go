package desk

import "io"

// aside is a stretch of a file; a page has no disk, and one user.
type aside struct{ data []byte }

type asideError struct{ error }

func putAside(from io.Reader) (*aside, int64, error) {
	data, err := io.ReadAll(from)
	return &aside{data}, int64(len(data)), err
}

func (a *aside) after(head []byte, _ int64) ([]byte, error) {
	if a == nil {
		return head, nil
	}
	return append(head, a.data...), nil
}

func (a *aside) drop() {}
