package musicxml

import (
	"io"
	"strings"
	"syscall/js"
)

// decoded is in as UTF-8. The browser knows the WHATWG's encodings; tables of its own would be a fifth of a megabyte more for
// every reader of the page to fetch.
func decoded(label string, in io.Reader) (out io.Reader, ok bool) {
	defer func() {
		if recover() != nil { // TextDecoder throws where it does not know the label
			out, ok = nil, false
		}
	}()
	decoder := js.Global().Get("TextDecoder").New(strings.TrimSpace(label))
	data, err := io.ReadAll(in)
	if err != nil {
		return failing{err}, true
	}
	bytes := js.Global().Get("Uint8Array").New(len(data))
	js.CopyBytesToJS(bytes, data)
	return strings.NewReader(decoder.Call("decode", bytes).String()), true
}

// failing is a reader that cannot be read.
type failing struct{ err error }

func (f failing) Read([]byte) (int, error) { return 0, f.err }
