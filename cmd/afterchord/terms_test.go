package main

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/render/terms"
)

// With --terms american every text and file of a run speaks of quarter notes and measures; without it, of crotchets and bars.
func TestTermsOfARun(t *testing.T) {
	t.Cleanup(func() { spoken = terms.British })
	dir := filepath.Join(t.TempDir(), "p")
	out := must(t, "proof", "demo:drop", "--room", "cathedral", "--no-audio", "--terms", "american", "-o", dir)
	require.Contains(t, out, "measure 7")
	require.Contains(t, out, "76 quarter notes a minute")
	page, err := os.ReadFile(filepath.Join(dir, "proof.html"))
	require.NoError(t, err)
	require.Contains(t, string(page), "quarter notes a minute")
	require.NotContains(t, string(page), "bar 7")
	out = must(t, "proof", "demo:drop", "--room", "cathedral", "--no-audio", "-o", filepath.Join(t.TempDir(), "q"))
	require.Contains(t, out, "76 crotchets a minute")
	refused(t, true, "british or american", "proof", "demo:drop", "--terms", "klingon")
}
