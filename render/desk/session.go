package desk

import (
	"crypto/rand"
	"encoding/hex"
	"net/http"
	"sync"
	"time"
)

// sessionIdle is how long a browser that says nothing keeps its place when others want it.
const sessionIdle = 30 * time.Minute

// streamsEach is how many sounds one browser may have under way (two tabs, one that ends and one that
// begins in each).
const streamsEach = 4

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
	runs    chan struct{} // runs of the chain at once
}

func newSessions(most int) *sessions {
	return &sessions{most: most, by: map[string]*session{}, now: time.Now}
}

// get finds or makes a session; nil where there are too many.
func (s *sessions) get(id string) *session {
	s.mu.Lock()
	defer s.mu.Unlock()
	now := s.now()
	if x := s.by[id]; x != nil {
		x.seen = now
		return x
	}
	if len(s.by) >= s.most {
		for k, x := range s.by {
			if now.Sub(x.seen) > sessionIdle {
				delete(s.by, k)
			}
		}
		if len(s.by) >= s.most {
			return nil
		}
	}
	x := &session{id: newToken(16), seen: now, runs: make(chan struct{}, 2)}
	s.by[x.id] = x
	return x
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

const cookieName = "afterchord-desk"

type sessionKey struct{}

// session gives the request its session, by cookie.
func (d *Desk) session(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		id := ""
		if c, err := r.Cookie(cookieName); err == nil {
			id = c.Value
		}
		s := d.sessions.get(id)
		if s == nil {
			w.Header().Set("Retry-After", "60")
			writeJSON(w, http.StatusServiceUnavailable, map[string]string{"error": "too many browsers at this desk; close one that is not used"})
			return
		}
		if s.id != id {
			http.SetCookie(w, &http.Cookie{Name: cookieName, Value: s.id, Path: "/", HttpOnly: true, SameSite: http.SameSiteStrictMode})
		}
		next.ServeHTTP(w, r.WithContext(withSession(r.Context(), s)))
	})
}
