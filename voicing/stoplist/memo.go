package stoplist

import "sync"

// memo keeps what a pure function gave for short texts: a list is gone through several times, and asks the same of a line each time. It is
// emptied where it is full, so that many lists take no more room than one.
type memo[V any] struct {
	mu    sync.Mutex
	known map[string]V
}

const (
	longestKept = 160  // bytes of a text
	mostKept    = 4096 // texts
)

// of is what f gives for text.
func (m *memo[V]) of(text string, f func(string) V) V {
	if len(text) > longestKept {
		return f(text)
	}
	m.mu.Lock()
	v, ok := m.known[text]
	m.mu.Unlock()
	if ok {
		return v
	}
	v = f(text)
	m.mu.Lock()
	if m.known == nil || len(m.known) >= mostKept {
		m.known = map[string]V{}
	}
	m.known[text] = v
	m.mu.Unlock()
	return v
}
