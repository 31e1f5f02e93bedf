package sound

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/wav"
)

// TestStreamIsTheFile: what a page gives and what a disk gets are the same bytes.
func TestStreamIsTheFile(t *testing.T) {
	job := chordJob(t, 1.5, 1, 3)
	file := filepath.Join(t.TempDir(), "sound.wav")
	want, err := RenderFile(context.Background(), job, file, wav.Int24, nil)
	require.NoError(t, err)
	data, err := os.ReadFile(file)
	require.NoError(t, err)
	var b bytes.Buffer
	got, err := RenderStream(context.Background(), job, &b, wav.Int24, nil)
	require.NoError(t, err)
	require.Equal(t, want, got)
	require.True(t, bytes.Equal(data, b.Bytes()))
}
