package main

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/finding"
)

// A settings file gives thresholds that are all there and all numbers, or an error in one line
// that names the file.
func FuzzSettings(f *testing.F) {
	for _, s := range []string{
		"", "[thresholds]\n", "[thresholds]\nblurred_share = 0.4\n", "[thresholds]\nblurred_share = nan\n", "[thresholds]\nrun_dip_db = -inf\n",
		"[thresholds]\nnone_such = 1\n", "[thresholds]\nblurred_share = \"much\"\n", "[thresholds]\nrun_low_key = 48\nrun_low_key = 49\n",
		"thresholds = 3\n", "[other]\nx = 1\n", "[thresholds.deep]\nx = 1\n", "\x00", "[thresholds]\nblurred_share = 1e400\n", "[thresholds]\r\nsolo_share=0x10\r\n",
	} {
		f.Add([]byte(s))
	}
	path := filepath.Join(f.TempDir(), "settings.toml")
	f.Fuzz(func(t *testing.T, data []byte) {
		require.NoError(t, os.WriteFile(path, data, 0o644))
		got, err := loadSettings(path)
		if err != nil {
			assert.Contains(t, err.Error(), "settings.toml")
			assert.NotContains(t, strings.TrimSpace(err.Error()), "\n")
			return
		}
		require.Len(t, got.Map(), len(finding.Table))
		for name, v := range got.Map() {
			require.False(t, math.IsNaN(v) || math.IsInf(v, 0), name)
		}
	})
}
