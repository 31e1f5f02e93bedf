package atomicfile

import (
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A file that another program has open is replaced once that program lets go, and stays whole if it does not.
func TestFileHeldOpen(t *testing.T) {
	path := filepath.Join(t.TempDir(), "held")
	require.NoError(t, WriteFile(path, []byte("old")))
	f, err := os.Open(path)
	require.NoError(t, err)
	time.AfterFunc(50*time.Millisecond, func() { f.Close() })
	require.NoError(t, WriteFile(path, []byte("new")))
	assert.Equal(t, "new", content(t, path))

	f, err = os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	if err := WriteFile(path, []byte("newer")); err != nil {
		assert.Equal(t, "new", content(t, path))
	}
	assert.Len(t, names(t, filepath.Dir(path)), 1)
}
