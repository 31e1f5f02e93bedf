package wav

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestStream(t *testing.T) {
	block := []float64{0.5, -0.5, 0.25, -1, 0}
	o := Options{Rate: 8000, Channels: 1, Format: Int24, Frames: 5} // an odd number of bytes, so there is a pad
	file := filepath.Join(t.TempDir(), "x.wav")
	w, err := Create(file, o)
	require.NoError(t, err)
	require.NoError(t, w.Write64(block))
	require.NoError(t, w.Close())
	want, err := os.ReadFile(file)
	require.NoError(t, err)

	var b bytes.Buffer
	w, err = Stream(&b, o)
	require.NoError(t, err)
	require.NoError(t, w.Write64(block))
	require.NoError(t, w.Close())
	require.Equal(t, want, b.Bytes())

	w, err = Stream(&b, o)
	require.NoError(t, err)
	require.NoError(t, w.Write64(block[:3]))
	require.ErrorContains(t, w.Close(), "3 frames were written of 5")
}
