package desk

import (
	"bytes"
	"cmp"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"time"
)

// maxRequest is the largest request that is not a file, bytes.
const maxRequest = 1 << 20

func withSession(ctx context.Context, s *session) context.Context {
	return context.WithValue(ctx, sessionKey{}, s)
}

func sessionOf(r *http.Request) *session { return r.Context().Value(sessionKey{}).(*session) }

func writeJSON(w http.ResponseWriter, status int, v any) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false) // never embedded in HTML; escaping would turn each & into \u0026
	if err := e.Encode(v); err != nil {
		status = http.StatusInternalServerError
		b.Reset()
		b.WriteString(`{"error":"the answer cannot be written"}`)
	}
	w.Header().Set("Content-Type", "application/json; charset=utf-8")
	w.Header().Set("Cache-Control", "no-store")
	w.WriteHeader(status)
	_, _ = b.WriteTo(w)
}

// bodyWithin bounds how long the body may take; the returned function lifts the bound. (The server's own
// ReadTimeout would end long answers too.)
func bodyWithin(w http.ResponseWriter, d time.Duration) func() {
	c := http.NewResponseController(w)
	_ = c.SetReadDeadline(time.Now().Add(d))
	return func() { _ = c.SetReadDeadline(time.Time{}) }
}

// readJSON reads a small request that has only fields that we know.
func readJSON(w http.ResponseWriter, r *http.Request, v any) error {
	return readJSONWithin(w, r, v, maxRequest)
}

func readJSONWithin(w http.ResponseWriter, r *http.Request, v any, limit int64) error {
	defer bodyWithin(w, time.Minute)()
	d := json.NewDecoder(http.MaxBytesReader(w, r.Body, limit))
	d.DisallowUnknownFields()
	if err := d.Decode(v); err != nil {
		var large *http.MaxBytesError
		if errors.As(err, &large) {
			return err
		}
		return problemf(http.StatusBadRequest, "the request could not be read: %w", plainJSON(err))
	}
	return nil
}

// plainJSON says what is wrong with a document without the types of the program.
func plainJSON(err error) error {
	var wrong *json.UnmarshalTypeError
	if errors.As(err, &wrong) {
		return fmt.Errorf("%s cannot be a %s", cmp.Or(wrong.Field, "the whole"), wrong.Value)
	}
	return errors.New(strings.TrimPrefix(err.Error(), "json: "))
}

func sendProject(w http.ResponseWriter, status int, p *Project) error {
	return sendVersion(w, status, p, p)
}

// sendVersion answers with what goes with the version of a project that it says.
func sendVersion(w http.ResponseWriter, status int, p *Project, reply any) error {
	w.Header().Set("ETag", etag(p.Version))
	writeJSON(w, status, reply)
	return nil
}

func etag(version int) string { return fmt.Sprintf(`"%d"`, version) }

// ifMatch is the version that the client has seen.
func ifMatch(r *http.Request) (int, error) {
	tag := r.Header.Get("If-Match")
	if tag == "" {
		return 0, problemf(http.StatusPreconditionRequired, "If-Match must name the version that was changed")
	}
	v, err := strconv.Atoi(strings.Trim(tag, `"`))
	if err != nil {
		return 0, problemf(http.StatusBadRequest, "If-Match %q is not a version", clip(tag))
	}
	return v, nil
}
