package desk

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"net"
	"net/http"
	"sync"
	"time"
)

// streamsEach is how many sounds one browser may have under way (two tabs, one that ends and one that
// begins in each).
const streamsEach = 4

// What one browser may have computed at once, and how many more requests for it may wait.
const (
	runsEach    = 2
	waitingEach = 16
)

// sessions are the browsers at the desk, told apart by a cookie. A session holds no
// music: it only bounds what one browser may ask for at a time.
type sessions struct {
	mu   sync.Mutex
	most int
	by   map[string]*session
	now  func() time.Time
}

type session struct {
	id   string
	seen time.Time

	mu      sync.Mutex
	streams int
	waiting int           // requests for a place in runs
	runs    chan struct{} // what is computed at once
}

func newSessions(most int) *sessions {
	return &sessions{most: most, by: map[string]*session{}, now: time.Now}
}

// find gives the session of a cookie, nil where there is none.
func (s *sessions) find(id string) *session {
	s.mu.Lock()
	defer s.mu.Unlock()
	x := s.by[id]
	if x != nil {
		x.seen = s.now()
	}
	return x
}

// begin makes a session; where there are too many, in the place of the one that has been idle longest. It gives
// nil where all are at work.
func (s *sessions) begin() *session {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.by) >= s.most {
		var oldest *session
		for _, x := range s.by {
			if x.idle() && (oldest == nil || x.seen.Before(oldest.seen)) {
				oldest = x
			}
		}
		if oldest == nil {
			return nil
		}
		delete(s.by, oldest.id)
	}
	x := &session{id: newToken(16), seen: s.now(), runs: make(chan struct{}, runsEach)}
	s.by[x.id] = x
	return x
}

// idle says whether nothing is computed for the session.
func (s *session) idle() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.streams == 0 && s.waiting == 0 && len(s.runs) == 0
}

// enterRun waits for the session's turn to have something computed; too many that wait are refused.
func (s *session) enterRun(ctx context.Context) (leave func(), err error) {
	s.mu.Lock()
	if s.waiting >= waitingEach {
		s.mu.Unlock()
		return nil, problemf(http.StatusTooManyRequests, "this browser already waits for %d answers; let them come first", waitingEach)
	}
	s.waiting++
	s.mu.Unlock()
	defer func() {
		s.mu.Lock()
		s.waiting--
		s.mu.Unlock()
	}()
	select {
	case s.runs <- struct{}{}:
		return func() { <-s.runs }, nil
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// openStream counts a sound under way; false where there are too many.
func (s *session) openStream() bool {
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.streams >= streamsEach {
		return false
	}
	s.streams++
	return true
}

func (s *session) closeStream() {
	s.mu.Lock()
	s.streams--
	s.mu.Unlock()
}

func newToken(bytes int) string {
	b := make([]byte, bytes)
	_, _ = rand.Read(b) // never fails
	return hex.EncodeToString(b)
}

// cookieName is another on each port: a browser sends the cookies of one desk to the others on this machine.
func cookieName(r *http.Request) string {
	_, port, err := net.SplitHostPort(r.Host)
	if err != nil {
		port = "80"
	}
	return "afterchord-desk-" + port
}

type sessionKey struct{}

// session gives the request its session, by cookie. A new one begins with the page, or with what a page of this
// desk asks for, as the browser itself says or the cookie of an earlier session shows; so no other site's page can begin one.
func (d *Desk) session(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		id := ""
		if c, err := r.Cookie(cookieName(r)); err == nil {
			id = c.Value
		}
		s := d.sessions.find(id)
		if s == nil {
			site := r.Header.Get("Sec-Fetch-Site")
			page := r.URL.Path == "/"
			switch {
			case site == "cross-site" || site == "same-site": // a link to the page: what it asks for itself begins the session
				next.ServeHTTP(w, r)
				return
			case !page && id == "" && site != "same-origin":
				refuse(w, r, http.StatusForbidden, "open the page of this desk first")
				return
			}
			if s = d.sessions.begin(); s == nil {
				w.Header().Set("Retry-After", "60")
				refuse(w, r, http.StatusServiceUnavailable, "too many browsers are at work at this desk; close one that is not used, and open this page again")
				return
			}
			http.SetCookie(w, &http.Cookie{Name: cookieName(r), Value: s.id, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
		}
		next.ServeHTTP(w, r.WithContext(withSession(r.Context(), s)))
	})
}
