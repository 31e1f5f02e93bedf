package desk

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What was used last is kept, as far as the bytes of all kinds together go; the newest whatever its size.
func TestMemory(t *testing.T) {
	m := newMemory(100)
	bytes := func(s string) int64 { return int64(len(s)) }
	a, b := newCache(m, "a", bytes), newCache(m, "b", bytes)
	has := func(c *cache[string], key string) bool { _, ok := c.get(key); return ok }

	a.put("x", strings.Repeat("x", 40))
	b.put("x", strings.Repeat("y", 40))
	v, ok := b.get("x")
	require.True(t, ok)
	require.Equal(t, strings.Repeat("y", 40), v, "a key of its own kind")
	require.True(t, has(a, "x"), "used after b's")

	a.put("z", strings.Repeat("z", 30))
	require.False(t, has(b, "x"), "used longest ago")
	require.True(t, has(a, "x"))
	require.EqualValues(t, 70, m.held)

	a.put("z", "z")
	require.EqualValues(t, 41, m.held, "the new value in the old one's place")

	b.put("whole", strings.Repeat("w", 1000))
	require.True(t, has(b, "whole"), "the newest is kept")
	require.False(t, has(a, "x"))
	b.put("x", "x")
	require.False(t, has(b, "whole"))
	require.EqualValues(t, 1, m.held)
}
