package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/finding"
)

// What settings prints is a settings file that changes nothing.
func TestPrintedSettingsAreReadBack(t *testing.T) {
	var out bytes.Buffer
	root := newRoot()
	root.SetOut(&out)
	root.SetArgs([]string{"settings"})
	require.NoError(t, root.Execute())
	path := filepath.Join(t.TempDir(), "all.toml")
	require.NoError(t, os.WriteFile(path, out.Bytes(), 0o644))
	got, err := loadSettings(path)
	require.NoError(t, err)
	require.Equal(t, finding.Defaults(), *got)
}
