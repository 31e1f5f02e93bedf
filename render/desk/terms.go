package desk

import (
	"bytes"
	"net/http"
	"strconv"
	"strings"

	"afterchord/render/terms"
)

// inTerms answers in the terms that the page asks for: X-Terms in a request of its own, ?terms= in a link. Pages and JSON are put
// into them as a whole; sound and scores go through.
func inTerms(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := r.Header.Get("X-Terms")
		if name == "" {
			name = r.URL.Query().Get("terms")
		}
		if set, err := terms.Parse(name); err != nil || set != terms.American {
			next.ServeHTTP(w, r)
			return
		}
		t := &termsWriter{ResponseWriter: w}
		defer t.flush()
		next.ServeHTTP(t, r)
	})
}

// termsWriter keeps a text until it is whole.
type termsWriter struct {
	http.ResponseWriter
	held   bytes.Buffer
	status int
	text   bool
	begun  bool
}

func (t *termsWriter) WriteHeader(status int) {
	if t.begun {
		return
	}
	t.begun, t.status = true, status
	kind := t.Header().Get("Content-Type")
	if t.text = strings.HasPrefix(kind, "application/json") || strings.HasPrefix(kind, "text/html"); !t.text {
		t.ResponseWriter.WriteHeader(status)
	}
}

func (t *termsWriter) Write(p []byte) (int, error) {
	t.WriteHeader(http.StatusOK)
	if t.text {
		return t.held.Write(p)
	}
	return t.ResponseWriter.Write(p)
}

// Unwrap lets what is not a text be flushed as it comes.
func (t *termsWriter) Unwrap() http.ResponseWriter { return t.ResponseWriter }

func (t *termsWriter) flush() {
	if !t.text {
		return
	}
	said := terms.American.Say(t.held.String())
	if t.Header().Get("Content-Length") != "" {
		t.Header().Set("Content-Length", strconv.Itoa(len(said)))
	}
	t.ResponseWriter.WriteHeader(t.status)
	_, _ = t.ResponseWriter.Write([]byte(said))
}
