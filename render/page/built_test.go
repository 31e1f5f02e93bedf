package page

import (
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/require"
)

// files is a folder for what all tests in browsers share; TestMain takes it away.
var files string

var build = sync.OnceValues(func() (policy Policy, err error) {
	if files, err = os.MkdirTemp("", "afterchord-page-test-"); err != nil {
		return "", err
	}
	if made := os.Getenv("AFTERCHORD_HTML"); made != "" {
		policy, err := os.ReadFile(strings.TrimSuffix(made, ".html") + ".policy.txt")
		if err != nil {
			return "", err
		}
		page, err := os.ReadFile(made)
		if err != nil {
			return "", err
		}
		return Policy(strings.TrimSpace(string(policy))), os.WriteFile(filepath.Join(files, "afterchord.html"), page, 0o644)
	}
	page, policy, err := Build()
	if err != nil {
		return "", err
	}
	return policy, os.WriteFile(filepath.Join(files, "afterchord.html"), page, 0o644)
})

func TestMain(m *testing.M) {
	code := m.Run()
	if files != "" {
		os.RemoveAll(files)
	}
	os.Exit(code)
}

// built is the page, made once, and its policy; or the one of cmd/page that AFTERCHORD_HTML names.
func built(t *testing.T) (file string, policy Policy) {
	t.Helper()
	policy, err := build()
	require.NoError(t, err)
	return filepath.Join(files, "afterchord.html"), policy
}
