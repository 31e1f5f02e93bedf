package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// inProcess runs a command in the process.
func inProcess(args ...string) (string, error) {
	var out bytes.Buffer
	root := newRoot()
	root.SetOut(&out)
	root.SetErr(&out)
	root.SetArgs(args)
	err := root.Execute()
	return out.String(), err
}

// must is inProcess for a command that has to succeed.
func must(t *testing.T, args ...string) string {
	t.Helper()
	out, err := inProcess(args...)
	require.NoError(t, err, "%v", args)
	for _, l := range strings.Split(out, "\n") {
		require.Equal(t, strings.TrimRight(l, " "), l, "%v: space at the end of a line", args)
		require.NotContains(t, l, "NaN")
		require.NotContains(t, l, "%!")
	}
	return out
}

// row is the fields of the first line of a table that begins with name.
func row(t *testing.T, out, name string) []string {
	t.Helper()
	for _, l := range strings.Split(out, "\n") {
		if f := strings.Fields(l); len(f) > 0 && f[0] == name {
			return f
		}
	}
	require.Fail(t, "no row", "%q in\n%s", name, out)
	return nil
}

func numberAt(t *testing.T, fields []string, i int) float64 {
	t.Helper()
	require.Greater(t, len(fields), i, "%v", fields)
	v, err := strconv.ParseFloat(fields[i], 64)
	require.NoError(t, err, "%v", fields)
	return v
}

// refused checks that a command fails with one line that says what, and as a usage mistake or not.
func refused(t *testing.T, usage bool, says string, args ...string) {
	t.Helper()
	_, err := inProcess(args...)
	require.Error(t, err, "%v", args)
	require.Contains(t, err.Error(), says, "%v", args)
	require.NotContains(t, err.Error(), "\n", "%v", args)
	var u usageError
	require.Equal(t, usage, errors.As(err, &u), "%v: %v", args, err)
}

func write(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	return path
}

// pictures checks that a command drew both of its pictures.
func pictures(t *testing.T, args ...string) {
	t.Helper()
	dir := t.TempDir()
	svg, png := filepath.Join(dir, "a.svg"), filepath.Join(dir, "a.png")
	must(t, append(args, "--svg", svg, "--png", png)...)
	data, err := os.ReadFile(svg)
	require.NoError(t, err)
	require.Contains(t, string(data), "</svg>")
	data, err = os.ReadFile(png)
	require.NoError(t, err)
	require.Equal(t, "\x89PNG", string(data[:4]))
}
