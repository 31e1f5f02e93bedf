package desk

import (
	"container/list"
	"sync"
)

// cache keeps the most recently used values.
type cache[K comparable, V any] struct {
	mu    sync.Mutex
	most  int
	order *list.List // of *entry, most recent first
	by    map[K]*list.Element
}

type entry[K comparable, V any] struct {
	key   K
	value V
}

func newCache[K comparable, V any](most int) *cache[K, V] {
	return &cache[K, V]{most: most, order: list.New(), by: map[K]*list.Element{}}
}

func (c *cache[K, V]) get(k K) (v V, ok bool) {
	c.mu.Lock()
	defer c.mu.Unlock()
	e := c.by[k]
	if e == nil {
		return v, false
	}
	c.order.MoveToFront(e)
	return e.Value.(*entry[K, V]).value, true
}

func (c *cache[K, V]) put(k K, v V) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if e := c.by[k]; e != nil {
		e.Value.(*entry[K, V]).value = v
		c.order.MoveToFront(e)
		return
	}
	c.by[k] = c.order.PushFront(&entry[K, V]{k, v})
	if c.order.Len() > c.most {
		last := c.order.Back()
		c.order.Remove(last)
		delete(c.by, last.Value.(*entry[K, V]).key)
	}
}
