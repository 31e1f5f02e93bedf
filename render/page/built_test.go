package page

import (
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

var isBuilt bool

var build = sync.OnceValues(func() (dir string, err error) {
	isBuilt = true
	if dir, err = os.MkdirTemp("", "afterchord-page-test-"); err != nil {
		return "", err
	}
	c := exec.Command("go", "run", "./cmd/page", "-o", filepath.Join(dir, "afterchord.html"))
	c.Dir = "../.."
	c.Stderr = os.Stderr
	return dir, c.Run()
})

func TestMain(m *testing.M) {
	code := m.Run()
	if isBuilt {
		if dir, _ := build(); dir != "" {
			os.RemoveAll(dir)
		}
	}
	os.Exit(code)
}

// built is the page as cmd/page makes it, once for all tests in browsers, and its policy.
func built(t *testing.T) (file, policy string) {
	t.Helper()
	dir, err := build()
	require.NoError(t, err)
	text, err := os.ReadFile(filepath.Join(dir, "afterchord.policy.txt"))
	require.NoError(t, err)
	return filepath.Join(dir, "afterchord.html"), strings.TrimSpace(string(text))
}
