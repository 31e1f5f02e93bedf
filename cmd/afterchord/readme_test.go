package main

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

var update = flag.Bool("update", false, "write the README's example output anew")

// The example output in the README is the real output.
func TestReadmeExampleIsRealOutput(t *testing.T) {
	const file = "../../README.md"
	readme, err := os.ReadFile(file)
	require.NoError(t, err)
	start := "<!-- output of: afterchord proof demo:drop --room cathedral --no-audio -->\n```\n"
	head, rest, ok := strings.Cut(string(readme), start)
	require.True(t, ok)
	have, tail, ok := strings.Cut(rest, "```\n<!-- end -->")
	require.True(t, ok)

	abs, err := filepath.Abs(file)
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	var out bytes.Buffer
	root := newRoot()
	root.SetOut(&out)
	root.SetArgs([]string{"proof", "demo:drop", "--room", "cathedral", "--no-audio"})
	require.NoError(t, root.Execute())
	if *update {
		require.NoError(t, os.WriteFile(abs, []byte(head+start+out.String()+"```\n<!-- end -->"+tail), 0o644))
		return
	}
	require.Equal(t, have, out.String(), "to write it anew: go test ./cmd/afterchord -run Readme -update")
}
