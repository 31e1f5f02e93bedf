package page

import (
	"bytes"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestPageWantsItsParts(t *testing.T) {
	var b bytes.Buffer
	_, err := Write(&b, Parts{})
	require.ErrorContains(t, err, "missing")
}

// TestPolicy: nothing but what the page holds, by hash.
func TestPolicy(t *testing.T) {
	root, err := filepath.Abs("../..")
	require.NoError(t, err)
	var b bytes.Buffer
	policy, err := Write(&b, Parts{Program: []byte("\x00asm"), WasmExec: []byte("// Go"), Root: root})
	require.NoError(t, err)
	p := string(policy)
	require.True(t, strings.HasPrefix(p, "default-src 'none'; script-src 'sha256-"), p)
	for _, never := range []string{"unsafe-inline", " 'unsafe-eval'", "http", "*", "data: blob"} {
		require.NotContains(t, p, never)
	}
	require.Contains(t, b.String(), p)
	require.NotContains(t, b.String(), "src=\"/", "nothing is fetched")
}
