//go:build js

package worker

import (
	"errors"
	"fmt"
	"io/fs"
	"syscall/js"
	"time"

	"afterchord/render/desk"
)

// Shelf keeps projects where the page keeps them, so that all workers and windows have the same ones. It
// calls the function afterchordShelf(what, …) of the worker's script, which returns a promise.
type Shelf struct{}

var _ desk.Shelf = Shelf{}

// ask gives the page's answer. What is not there, and what others have changed, it says by the name of its error.
func ask(what string, args ...any) (js.Value, error) {
	v, err := wait(js.Global().Call("afterchordShelf", append([]any{what}, args...)...))
	switch {
	case err == nil:
		return v, nil
	case err.Error() == "not there":
		return v, fmt.Errorf("%s: %w", what, fs.ErrNotExist)
	case err.Error() == "changed elsewhere":
		return v, desk.ErrChangedElsewhere
	}
	return v, errors.New(err.Error())
}

func toJS(data []byte) js.Value {
	v := js.Global().Get("Uint8Array").New(len(data))
	js.CopyBytesToJS(v, data)
	return v
}

func fromJS(v js.Value) []byte {
	data := make([]byte, v.Get("byteLength").Int())
	js.CopyBytesToGo(data, v)
	return data
}

// Projects lists what the page has.
func (Shelf) Projects() ([]desk.Kept, error) {
	v, err := ask("projects")
	if err != nil {
		return nil, err
	}
	var out []desk.Kept
	for i := range v.Length() {
		out = append(out, desk.Kept{ID: v.Index(i).Get("id").String(), Saved: time.UnixMilli(int64(v.Index(i).Get("saved").Float()))})
	}
	return out, nil
}

// Make has nothing to do: a project begins with its first file.
func (Shelf) Make(string) error { return nil }

// Remove takes a project away.
func (Shelf) Remove(id string) error {
	_, err := ask("remove", id)
	return err
}

// States gives the one state that is kept, which is always whole.
func (Shelf) States(id string) ([][]byte, error) {
	v, err := ask("state", id)
	if err != nil {
		return nil, err
	}
	return [][]byte{fromJS(v)}, nil
}

// Save keeps a state in one transaction.
func (Shelf) Save(id string, version int, state []byte) error {
	_, err := ask("save", id, version, toJS(state))
	return err
}

// Read gives a file.
func (Shelf) Read(id, file string) ([]byte, error) {
	v, err := ask("read", id, file)
	if err != nil {
		return nil, err
	}
	return fromJS(v), nil
}

// Write keeps a file.
func (Shelf) Write(id, file string, data []byte) error {
	_, err := ask("write", id, file, toJS(data))
	return err
}

// Has says whether there is a file.
func (Shelf) Has(id, file string) (bool, error) {
	v, err := ask("has", id, file)
	return err == nil && v.Bool(), err
}
