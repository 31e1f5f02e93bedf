package desk

import (
	"bytes"
	"errors"
	"io"
	"net/http"
	"time"
)

const (
	inMemory      = 256 << 10 // of a file that is being sent, bytes; the rest waits on the disk
	receiveWithin = 5 * time.Minute
	filesAtOnce   = 2 // whole in memory
)

// readUpload reads a whole file from the body; one that breaks off is refused. However many send at once, no more
// than a few have theirs in memory: call done when the file has served.
func (d *Desk) readUpload(w http.ResponseWriter, r *http.Request, limit int64) (data []byte, done func(), err error) {
	if r.ContentLength > limit {
		return nil, nil, &http.MaxBytesError{Limit: limit}
	}
	allow := bodyWithin(w, receiveWithin)
	var head bytes.Buffer
	body := http.MaxBytesReader(w, r.Body, limit)
	n, err := io.CopyN(&head, body, inMemory)
	var rest *aside
	if err == nil {
		var more int64
		rest, more, err = putAside(body)
		n += more
	}
	allow()
	defer rest.drop()
	var large *http.MaxBytesError
	var here *asideError
	switch {
	case errors.As(err, &large):
		return nil, nil, err
	case errors.As(err, &here):
		return nil, nil, problemf(http.StatusInsufficientStorage, "the file cannot be taken in: %w", withoutPath(err))
	case err != nil && err != io.EOF:
		return nil, nil, problemf(http.StatusBadRequest, "the file broke off after %d bytes; send it again", n)
	case n == 0:
		return nil, nil, problemf(http.StatusBadRequest, "the file is empty")
	}
	if err := d.files.enter(r.Context()); err != nil {
		return nil, nil, err
	}
	if data, err = rest.after(head.Bytes(), n); err != nil {
		d.files.leave()
		return nil, nil, err
	}
	return data, d.files.leave, nil
}
