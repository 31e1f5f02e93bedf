package stoplist

import "sync"

// memo keeps what a pure function gave for short texts, and what else it was asked: a list is gone through several times, and asks the same of a
// line each time. It is emptied where it is full, so that many lists take no more room than one.
type memo[X comparable, V any] struct {
	mu    sync.Mutex
	known map[question[X]]V
}

// question is what a pure function is asked.
type question[X comparable] struct {
	text string
	more X
}

// textMemo keeps what a function of a text alone gave.
type textMemo[V any] struct {
	kept memo[struct{}, V]
}

const (
	longestKept = 512  // bytes of a text
	mostKept    = 8192 // texts
)

// of is what f gives for text.
func (m *textMemo[V]) of(text string, f func(string) V) V {
	return m.kept.of(text, struct{}{}, func(text string, _ struct{}) V { return f(text) })
}

// of is what f gives for text and more.
func (m *memo[X, V]) of(text string, more X, f func(string, X) V) V {
	if len(text) > longestKept {
		return f(text, more)
	}
	q := question[X]{text, more}
	m.mu.Lock()
	v, ok := m.known[q]
	m.mu.Unlock()
	if ok {
		return v
	}
	v = f(text, more)
	m.mu.Lock()
	if m.known == nil || len(m.known) >= mostKept {
		m.known = map[question[X]]V{}
	}
	m.known[q] = v
	m.mu.Unlock()
	return v
}
