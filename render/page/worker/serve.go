//go:build js

package worker

import (
	"bytes"
	"context"
	"errors"
	"net/http"
	"strings"
	"sync"
	"syscall/js"
)

// Serve answers the requests that the worker's script hands to the function afterchordServe; it never returns.
//
// The function takes a request { method, path, headers, body (Uint8Array or null) } and an answer with the
// functions head(status, headers), part(Uint8Array) and end(error text or ""). part returns a
// promise that is kept when the page can take more. The function returns one that gives the request up.
func Serve(h http.Handler) {
	s := &server{handler: h}
	js.Global().Set("afterchordServe", js.FuncOf(func(_ js.Value, args []js.Value) any {
		ctx, leave := context.WithCancel(context.Background())
		r, err := request(ctx, args[0])
		if err != nil {
			leave()
			args[1].Call("end", err.Error())
			return nil
		}
		go s.answer(r, args[1], leave)
		return js.FuncOf(func(js.Value, []js.Value) any {
			leave()
			return nil
		})
	}))
	js.Global().Call("afterchordReady")
	select {}
}

type server struct {
	handler http.Handler
	mu      sync.Mutex
	cookie  string // the page is one session
}

func request(ctx context.Context, q js.Value) (*http.Request, error) {
	var body []byte
	if b := q.Get("body"); b.Truthy() {
		body = make([]byte, b.Get("byteLength").Int())
		js.CopyBytesToGo(body, b)
	}
	r, err := http.NewRequestWithContext(ctx, q.Get("method").String(), "http://localhost"+q.Get("path").String(), bytes.NewReader(body))
	if err != nil {
		return nil, err
	}
	r.Header.Set("Sec-Fetch-Site", "same-origin") // nobody else can ask
	headers := js.Global().Get("Object").Call("entries", q.Get("headers"))
	for i := range headers.Length() {
		r.Header.Set(headers.Index(i).Index(0).String(), headers.Index(i).Index(1).String())
	}
	return r, nil
}

func (s *server) answer(r *http.Request, to js.Value, leave func()) {
	defer leave()
	s.mu.Lock()
	if s.cookie != "" {
		r.Header.Set("Cookie", s.cookie)
	}
	s.mu.Unlock()
	w := &writer{ctx: r.Context(), to: to, header: http.Header{}}
	why := ""
	func() {
		defer func() {
			if p := recover(); p != nil {
				why = "the answer broke off"
				if err, ok := p.(error); !ok || !errors.Is(err, http.ErrAbortHandler) {
					panic(p)
				}
			}
		}()
		s.handler.ServeHTTP(w, r)
		w.WriteHeader(http.StatusOK)
	}()
	if c := w.header.Get("Set-Cookie"); c != "" {
		s.mu.Lock()
		s.cookie, _, _ = strings.Cut(c, ";")
		s.mu.Unlock()
	}
	to.Call("end", why)
}

// writer is a response on its way to the page.
type writer struct {
	ctx    context.Context
	to     js.Value
	header http.Header
	begun  bool
}

func (w *writer) Header() http.Header { return w.header }

func (w *writer) WriteHeader(status int) {
	if w.begun {
		return
	}
	w.begun = true
	headers := map[string]any{}
	for name, values := range w.header {
		if name != "Set-Cookie" {
			headers[name] = strings.Join(values, ", ")
		}
	}
	w.to.Call("head", status, headers)
}

// Write hands a part to the page, and waits until it can take more.
func (w *writer) Write(p []byte) (int, error) {
	w.WriteHeader(http.StatusOK)
	if err := w.ctx.Err(); err != nil {
		return 0, err
	}
	if len(p) == 0 {
		return 0, nil
	}
	part := js.Global().Get("Uint8Array").New(len(p))
	js.CopyBytesToJS(part, p)
	if _, err := wait(w.to.Call("part", part)); err != nil {
		return 0, err
	}
	return len(p), w.ctx.Err()
}

// Flush does nothing: parts are on their way at once.
func (w *writer) Flush() { w.WriteHeader(http.StatusOK) }

// wait waits for a promise.
func wait(promise js.Value) (js.Value, error) {
	type outcome struct {
		value js.Value
		err   error
	}
	done := make(chan outcome, 1)
	kept := js.FuncOf(func(_ js.Value, args []js.Value) any {
		o := outcome{value: js.Undefined()}
		if len(args) > 0 {
			o.value = args[0]
		}
		done <- o
		return nil
	})
	defer kept.Release()
	broken := js.FuncOf(func(_ js.Value, args []js.Value) any {
		done <- outcome{err: failure(args[0])}
		return nil
	})
	defer broken.Release()
	promise.Call("then", kept, broken)
	o := <-done
	return o.value, o.err
}

// failure is what a promise was broken with.
func failure(v js.Value) error {
	if v.Type() == js.TypeObject && v.Get("message").Type() == js.TypeString {
		return errors.New(v.Get("message").String())
	}
	return errors.New(v.String())
}

// Breathe lets the worker take what has come meanwhile: while Go computes, it hears nothing.
func Breathe() { _, _ = wait(js.Global().Call("afterchordBreathe")) }
