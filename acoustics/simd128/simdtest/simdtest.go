// Package simdtest runs the vector loops for WebAssembly beside those of this machine, for tests.
package simdtest

import (
	"context"
	"encoding/binary"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/tetratelabs/wazero"
	"github.com/tetratelabs/wazero/api"

	"afterchord/acoustics/simd128"
)

// Loops is the module with its memory.
type Loops struct {
	t      testing.TB
	module api.Module
	free   uint32 // bytes
}

// New loads the module.
func New(t testing.TB) *Loops {
	t.Helper()
	ctx := context.Background()
	r := wazero.NewRuntime(ctx)
	t.Cleanup(func() { r.Close(ctx) })
	m, err := r.Instantiate(ctx, simd128.Loops())
	require.NoError(t, err)
	return &Loops{t: t, module: m}
}

// Put lays values of one size into the memory, 4 bytes apart from the last, and gives their place.
func Put[T float32 | float64 | int32 | int16](l *Loops, values []T) (at uint64) {
	l.t.Helper()
	data, err := binary.Append(nil, binary.LittleEndian, values)
	require.NoError(l.t, err)
	place := l.free
	l.free += uint32(len(data)) + 4
	if memory := l.module.Memory(); l.free > memory.Size() {
		_, ok := memory.Grow((l.free-memory.Size())>>16 + 1)
		require.True(l.t, ok)
	}
	require.True(l.t, l.module.Memory().Write(place, data))
	return uint64(place)
}

// Get gives n values from a place.
func Get[T float32 | float64](l *Loops, at uint64, n int) []T {
	l.t.Helper()
	out := make([]T, n)
	data, ok := l.module.Memory().Read(uint32(at), uint32(binary.Size(out)))
	require.True(l.t, ok)
	_, err := binary.Decode(data, binary.LittleEndian, out)
	require.NoError(l.t, err)
	return out
}

// Single is a parameter of single precision.
func Single(v float32) uint64 { return uint64(math.Float32bits(v)) }

// Call calls a loop with places, counts and [Single]s, and gives what it returns.
func (l *Loops) Call(name string, parameters ...uint64) []uint64 {
	l.t.Helper()
	results, err := l.module.ExportedFunction(name).Call(context.Background(), parameters...)
	require.NoError(l.t, err)
	return results
}
