package desk

import (
	"bytes"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"testing"
	"testing/iotest"

	"github.com/stretchr/testify/require"
)

// A file arrives as it was sent whether it fits in memory or waits on the disk, and leaves nothing there.
func TestFilesArriveWhole(t *testing.T) {
	t.Setenv("TMPDIR", t.TempDir())
	d, err := New(Options{Dir: t.TempDir()})
	require.NoError(t, err)
	const limit = inMemory + 1000
	take := func(body io.Reader) ([]byte, func(), error) {
		r := httptest.NewRequest(http.MethodPost, "/", body)
		r.ContentLength = -1
		return d.readUpload(httptest.NewRecorder(), r, limit)
	}
	for _, n := range []int{1, inMemory - 1, inMemory, inMemory + 1, limit} {
		sent := bytes.Repeat([]byte("afterchord "), n/11+1)[:n]
		data, done, err := take(bytes.NewReader(sent))
		require.NoError(t, err, n)
		require.True(t, bytes.Equal(sent, data), n)
		require.Len(t, d.files.slots, 1)
		done()
	}

	_, _, err = take(bytes.NewReader(make([]byte, limit+1)))
	require.ErrorAs(t, err, new(*http.MaxBytesError))
	_, _, err = take(io.MultiReader(bytes.NewReader(make([]byte, inMemory+5)), iotest.ErrReader(io.ErrUnexpectedEOF)))
	require.EqualError(t, err, "the file broke off after 262149 bytes; send it again")
	_, _, err = take(bytes.NewReader(nil))
	require.EqualError(t, err, "the file is empty")
	require.Empty(t, d.files.slots, "every place is free again")
	left, err := os.ReadDir(os.Getenv("TMPDIR"))
	require.NoError(t, err)
	require.Empty(t, left)
}

// Where the disk is full, the sender is told so, and not that the file broke off.
func TestFilesWithoutADisk(t *testing.T) {
	d, err := New(Options{Dir: t.TempDir()})
	require.NoError(t, err)
	t.Setenv("TMPDIR", "/nonexistent")
	r := httptest.NewRequest(http.MethodPost, "/", bytes.NewReader(make([]byte, 2*inMemory)))
	_, _, err = d.readUpload(httptest.NewRecorder(), r, 4*inMemory)
	require.ErrorContains(t, err, "the file cannot be taken in: ")
	require.NotContains(t, err.Error(), "/nonexistent")
}
