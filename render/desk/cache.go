package desk

import (
	"container/list"
	"sync"
)

// memory keeps what was computed, of all kinds together: what was used last, as far as its bytes go. What was put
// last is kept whatever its size.
type memory struct {
	mu    sync.Mutex
	most  int64 // bytes
	held  int64
	order *list.List // of *entry, most recent first
	by    map[place]*list.Element
}

// place is where a value is kept.
type place struct{ kind, key string }

type entry struct {
	place
	value any
	bytes int64
}

func newMemory(most int64) *memory {
	return &memory{most: most, order: list.New(), by: map[place]*list.Element{}}
}

func (m *memory) get(p place) any {
	m.mu.Lock()
	defer m.mu.Unlock()
	e := m.by[p]
	if e == nil {
		return nil
	}
	m.order.MoveToFront(e)
	return e.Value.(*entry).value
}

func (m *memory) put(p place, value any, bytes int64) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if e := m.by[p]; e != nil {
		m.drop(e)
	}
	m.by[p] = m.order.PushFront(&entry{p, value, bytes})
	m.held += bytes
	for m.held > m.most && m.order.Len() > 1 {
		m.drop(m.order.Back())
	}
}

func (m *memory) drop(e *list.Element) {
	x := m.order.Remove(e).(*entry)
	delete(m.by, x.place)
	m.held -= x.bytes
}

// cache is the values of one kind in a memory. Bytes is roughly what one holds that no other does.
type cache[V any] struct {
	in    *memory
	kind  string
	bytes func(V) int64
}

func newCache[V any](in *memory, kind string, bytes func(V) int64) *cache[V] {
	return &cache[V]{in, kind, bytes}
}

func (c *cache[V]) get(key string) (v V, ok bool) {
	v, ok = c.in.get(place{c.kind, key}).(V)
	return v, ok
}

func (c *cache[V]) put(key string, v V) { c.in.put(place{c.kind, key}, v, c.bytes(v)) }
