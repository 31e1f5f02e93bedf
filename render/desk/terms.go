package desk

import (
	"bytes"
	"context"
	"net/http"
	"strconv"
	"strings"

	"afterchord/render/terms"
)

// inTerms answers in the terms or the language that the page asks for: X-Terms in a request of its own, ?terms= in a link. Pages and
// JSON are put into American terms as a whole; sound and scores go through. A language is for the handler (languageOf).
func inTerms(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := r.Header.Get("X-Terms")
		if name == "" {
			name = r.URL.Query().Get("terms")
		}
		if l := terms.Languages()[name]; l != nil {
			r = r.WithContext(context.WithValue(r.Context(), languageKey{}, l))
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

type languageKey struct{}

// languageOf is the language that a request asks for, nil for English.
func languageOf(r *http.Request) *terms.Language {
	l, _ := r.Context().Value(languageKey{}).(*terms.Language)
	return l
}

// words answers with a table of words.
func (d *Desk) words(w http.ResponseWriter, r *http.Request) error {
	name, _ := strings.CutSuffix(r.PathValue("name"), ".json")
	l := terms.Languages()[name]
	if l == nil {
		return problemf(http.StatusNotFound, "there is no such language")
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	_, err := w.Write(l.Table())
	return err
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
