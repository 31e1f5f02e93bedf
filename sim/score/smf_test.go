package score

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"
)

func TestShared(t *testing.T) {
	files, _ := filepath.Glob("../../../shared/scores/*.mid")
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		s, err := ReadSMF(data, f)
		require.NoError(t, err)
		t.Log(s.Title, s.File, s.Format, s.TicksPerCrotchet, s.Parts, len(s.Notes), s.Tempos, s.Metres, len(s.Bars), s.Bars[:3], s.Words, len(s.Controls), s.End, s.Remarks)
	}
}
