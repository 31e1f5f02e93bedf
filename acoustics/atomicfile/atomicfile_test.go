package atomicfile

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// names of the folder dir.
func names(t *testing.T, dir string) []string {
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var list []string
	for _, e := range entries {
		list = append(list, e.Name())
	}
	return list
}

func content(t *testing.T, path string) string {
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

func TestReplacesWholeFiles(t *testing.T) {
	t.Run("made by a person", func(t *testing.T) { testReplacesWholeFiles(t) })
	t.Run("recomputable", func(t *testing.T) { testReplacesWholeFiles(t, Recomputable) })
}

func testReplacesWholeFiles(t *testing.T, options ...Option) {
	dir := filepath.Join(t.TempDir(), "Präludium & Fuge")
	require.NoError(t, os.Mkdir(dir, 0o755))
	path := filepath.Join(dir, "old.txt")
	require.NoError(t, WriteFile(path, []byte("first"), options...))
	assert.Equal(t, "first", content(t, path))

	f, err := Create(path, options...)
	require.NoError(t, err)
	_, err = io.WriteString(f, "sec")
	require.NoError(t, err)
	assert.Equal(t, "first", content(t, path), "the old file stays until the new one is whole")
	_, err = io.WriteString(f, "ond")
	require.NoError(t, err)
	require.NoError(t, f.Commit())
	f.Abort()
	assert.Equal(t, "second", content(t, path))
	assert.Equal(t, []string{"old.txt"}, names(t, dir))
}

// A name as long as file systems allow (255 bytes) leaves no room for a longer one beside it.
func TestLongestName(t *testing.T) {
	path := filepath.Join(t.TempDir(), strings.Repeat("n", 255))
	require.NoError(t, WriteFile(path, []byte("x")))
	require.NoError(t, WriteFile(path, []byte("y")))
	assert.Equal(t, "y", content(t, path))
}

func TestAbortLeavesTheOldFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	require.NoError(t, WriteFile(path, []byte("old")))
	stop := errors.New("stop")
	err := Write(path, func(w io.Writer) error {
		_, _ = io.WriteString(w, "half")
		inside := names(t, dir)
		require.Len(t, inside, 2)
		assert.True(t, IsTemporary(inside[0]))
		assert.False(t, IsTemporary(inside[1]))
		return stop
	})
	assert.ErrorIs(t, err, stop)
	assert.Equal(t, "old", content(t, path))
	assert.Equal(t, []string{"a"}, names(t, dir))
}

func TestErrorsNameTheFileAskedFor(t *testing.T) {
	dir := t.TempDir()
	for _, path := range []string{filepath.Join(dir, "no", "such"), dir} {
		t.Run(path, func(t *testing.T) {
			_, err := Create(path)
			var pathError *fs.PathError
			require.ErrorAs(t, err, &pathError)
			assert.Equal(t, path, pathError.Path)
		})
	}
	path := filepath.Join(dir, "closed")
	err := Write(path, func(w io.Writer) error {
		w.(*File).File.Close() // as a disk would that fails
		_, err := io.WriteString(w, "x")
		return err
	})
	var pathError *fs.PathError
	require.ErrorAs(t, err, &pathError)
	assert.Equal(t, path, pathError.Path)
	assert.Empty(t, names(t, dir))
}

func TestPermissionsAreKept(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("files have the rights of their folder")
	}
	dir := t.TempDir()
	for _, perm := range []fs.FileMode{0o600, 0o664, 0o755} {
		path := filepath.Join(dir, "f")
		require.NoError(t, os.WriteFile(path, nil, perm))
		require.NoError(t, os.Chmod(path, perm))
		require.NoError(t, WriteFile(path, []byte("x")))
		now, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, perm, now.Mode().Perm())
		require.NoError(t, os.Remove(path))
	}
}
