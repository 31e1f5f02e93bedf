package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/demos"
	"afterchord/sim/score/musicxml"
	"afterchord/sim/score/smf"
)

// inFolder runs a command in a fresh folder and returns what it printed.
func inFolder(t *testing.T, args ...string) (string, error) {
	t.Helper()
	t.Chdir(t.TempDir())
	return here(t, args...)
}

func here(t *testing.T, args ...string) (string, error) {
	t.Helper()
	var out bytes.Buffer
	root := newRoot()
	root.SetOut(&out)
	root.SetErr(&out)
	root.SetArgs(args)
	err := root.ExecuteContext(t.Context())
	return out.String(), err
}

func usage(t *testing.T, err error) {
	t.Helper()
	var u usageError
	require.Error(t, err)
	require.True(t, errors.As(err, &u), "%v is not a usage error", err)
}

func TestMendWritesTheRewrittenScore(t *testing.T) {
	out, err := inFolder(t, "mend", "demo:drop", "--room", "parish-church", "--finding", "1", "--no-audio")
	require.NoError(t, err)
	require.Contains(t, out, "as rewritten")
	for _, name := range []string{"mended.mid", "mend.json", "mend.html", "before/proof.json", "after/proof.html"} {
		t.Run(name, func(t *testing.T) {
			_, err := os.Stat(filepath.Join("drop.mend", name))
			require.NoError(t, err, name)
		})
	}
	data, err := os.ReadFile("drop.mend/mended.mid")
	require.NoError(t, err)
	s, err := smf.Read(data, "mended.mid")
	require.NoError(t, err)
	require.Len(t, s.Notes, 104)
	var m struct {
		Before, After struct{ Fails, Warnings int }
		Tried         []struct {
			Remedy string
			Helps  bool
		}
		Changes []struct{ Remedy string }
	}
	data, err = os.ReadFile("drop.mend/mend.json")
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(data, &m))
	require.Greater(t, 100*m.Before.Fails+m.Before.Warnings, 100*m.After.Fails+m.After.Warnings)
	require.Len(t, m.Changes, 1)
	require.Greater(t, len(m.Tried), 1)
	// the rewritten score, proved again, has no more of the finding than is worth knowing
	again, err := here(t, "mend", "drop.mend/mended.mid", "--room", "parish-church", "--list")
	require.NoError(t, err)
	list := strings.SplitN(again, "remedy ", 2)[0]
	require.NotContains(t, list, "lost")
	require.NotContains(t, list, "weakened")
}

func TestMendAsksForOneThing(t *testing.T) {
	for _, args := range [][]string{
		{"mend", "demo:drop"}, {"mend"}, {"mend", "demo:drop", "--all", "--list"}, {"mend", "demo:drop", "--finding", "99"},
		{"mend", "demo:drop", "--all", "--remedy", "slow"}, {"mend", "demo:drop", "--finding", "1", "--remedy", "magic"},
		{"mend", "demo:drop", "--all", "--rate", "7"}, {"mend", "demo:drop", "--all", "--bits", "9"},
	} {
		t.Run(args[0], func(t *testing.T) {
			_, err := inFolder(t, args...)
			usage(t, err)
			left, _ := os.ReadDir(".")
			require.Empty(t, left, "%v left something", args)
		})
	}
}

func TestMendByNameSaysWhatItIsWorth(t *testing.T) {
	out, err := inFolder(t, "mend", "demo:drop", "--room", "cathedral", "--finding", "1", "--remedy", "slow", "--no-audio")
	require.NoError(t, err)
	require.Contains(t, out, "It does not help")
	_, err = os.Stat("drop.mend/mended.mid")
	require.NoError(t, err, "a remedy asked for by name is written even so")
}

func TestMendKeepsTheFormat(t *testing.T) {
	t.Chdir(t.TempDir())
	data, ok := demos.Piece("drop")
	require.True(t, ok)
	s, err := smf.Read(data, "drop.mid")
	require.NoError(t, err)
	var xml bytes.Buffer
	require.NoError(t, musicxml.Write(&xml, s))
	require.NoError(t, os.WriteFile("drop.musicxml", xml.Bytes(), 0o644))
	_, err = here(t, "mend", "drop.musicxml", "--room", "parish-church", "--finding", "1", "--no-audio")
	require.NoError(t, err)
	data, err = os.ReadFile("drop.mend/mended.musicxml")
	require.NoError(t, err)
	_, err = musicxml.Read(data, "mended.musicxml")
	require.NoError(t, err)
}

func TestSweepWritesTableAndPictures(t *testing.T) {
	out, err := inFolder(t, "sweep", "demo:drop", "--rooms", "practice-room,cathedral", "--tempi", "0.9,1")
	require.NoError(t, err)
	require.Contains(t, out, "practice-room")
	for _, name := range []string{"sweep.json", "sweep.csv", "sweep.html", "heat.svg"} {
		t.Run(name, func(t *testing.T) {
			_, err := os.Stat(filepath.Join("drop.sweep", name))
			require.NoError(t, err, name)
		})
	}
	for _, args := range [][]string{
		{"sweep", "demo:drop", "--room", "chapel"}, {"sweep", "demo:drop", "--tempi", "fast"}, {"sweep", "demo:drop", "--rooms", "nowhere"},
		{"sweep"}, {"sweep", "demo:drop", "--rooms", "chapel", "--organs", "none"},
	} {
		_, err := inFolder(t, args...)
		usage(t, err)
	}
}

func TestCompareSetsTwoSideBySide(t *testing.T) {
	out, err := inFolder(t, "compare", "demo:drop", "--room", "practice-room", "--with-room", "cathedral", "--no-audio")
	require.NoError(t, err)
	require.Contains(t, out, "only in B")
	for _, name := range []string{"compare.json", "compare.html", "a/proof.html", "b/proof.json"} {
		t.Run(name, func(t *testing.T) {
			_, err := os.Stat(filepath.Join("drop.compare", name))
			require.NoError(t, err, name)
		})
	}
	data, err := os.ReadFile("drop.compare/compare.json")
	require.NoError(t, err)
	require.True(t, json.Valid(data))
	for _, args := range [][]string{
		{"compare", "demo:drop"}, {"compare"}, {"compare", "demo:drop", "--with-room", "chapel", "--with-rt", "2"},
		{"compare", "demo:drop", "--with-tempo", "x"}, {"compare", "demo:drop", "--with-seat", "roof"},
	} {
		_, err := inFolder(t, args...)
		usage(t, err)
	}
}
