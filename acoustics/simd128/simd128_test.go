package simd128

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/require"
	"github.com/tetratelabs/wazero"
)

// asm is a module with the import section of one function, a memory of so many pages, and an exported function that gives the
// 32 bits at 8 of it.
func asm(pages byte) []byte {
	m := append([]byte{}, head...)
	m = append(m, 1, 8, 2, 0x60, 0, 0, 0x60, 0, 1, 0x7f)                    // types: () → (), () → i32
	m = append(m, 2, 9, 1, 3, 'e', 'n', 'v', 1, 'f', 0, 0)                  // import env.f
	m = append(m, 3, 2, 1, 1)                                               // a function of type 1
	m = append(m, 5, 3, 1, 0, pages)                                        // memory
	m = append(m, 7, 13, 2, 3, 'm', 'e', 'm', 2, 0, 3, 'g', 'e', 't', 0, 1) // exports
	return append(m, 10, 9, 1, 7, 0, 0x41, 8, 0x28, 2, 0, 0x0b)             // i32.const 8, i32.load
}

// The program and the loops live in one memory, as large as the program asks for.
func TestBind(t *testing.T) {
	program, vectors, err := Bind(asm(3))
	require.NoError(t, err)
	ctx := context.Background()
	r := wazero.NewRuntime(ctx)
	defer r.Close(ctx)
	_, err = r.NewHostModuleBuilder("env").NewFunctionBuilder().WithFunc(func() {}).Export("f").Instantiate(ctx)
	require.NoError(t, err)
	v, err := r.InstantiateWithConfig(ctx, vectors, wazero.NewModuleConfig().WithName(Name))
	require.NoError(t, err)
	require.Equal(t, uint32(3<<16), v.Memory().Size())
	p, err := r.InstantiateWithConfig(ctx, program, wazero.NewModuleConfig().WithName("program"))
	require.NoError(t, err)
	require.True(t, v.Memory().WriteUint32Le(8, 1852))
	got, err := p.ExportedFunction("get").Call(ctx)
	require.NoError(t, err)
	require.Equal(t, []uint64{1852}, got)
}

func TestBindRefuses(t *testing.T) {
	whole := asm(3)
	for name, m := range map[string][]byte{
		"nothing": nil, "another file": []byte("#!/bin/sh"), "cut short": whole[:len(whole)-3],
		"without a memory": bytes.Replace(whole, []byte{5, 3, 1, 0, 3}, nil, 1),
	} {
		t.Run(name, func(t *testing.T) {
			_, _, err := Bind(m)
			require.ErrorIs(t, err, errModule)
		})
	}
}
