package results

import (
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// put runs a command that writes files, each with a text.
func put(t *testing.T, r Run, files map[string]string) error {
	t.Helper()
	for name := range files {
		r.Names = append(r.Names, name)
	}
	f, err := Open(r)
	if err != nil {
		return err
	}
	defer f.Discard()
	for name, text := range files {
		path := filepath.Join(f.Dir(), filepath.FromSlash(name))
		require.NoError(t, os.MkdirAll(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	}
	return f.Place()
}

// list gives the files below a folder without the mark.
func list(t *testing.T, dir string) []string {
	t.Helper()
	names, err := filesIn(dir)
	require.NoError(t, err)
	return slices.DeleteFunc(names, func(n string) bool { return n == markName })
}

func text(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(data)
}

func TestNothingStaleStays(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	first := Run{Dir: dir, Command: "mend", Source: "/a/x.mid"}
	require.NoError(t, put(t, first, map[string]string{"mended.mid": "1", "before/heard.wav": "1", "mend.html": "1"}))
	require.NoError(t, put(t, first, map[string]string{"mend.html": "2"}))
	require.Equal(t, []string{"mend.html"}, list(t, dir))
	require.Equal(t, "2", text(t, filepath.Join(dir, "mend.html")))
	require.NoDirExists(t, filepath.Join(dir, "before"))

	require.NoError(t, put(t, Run{Dir: dir, Command: "sweep", Source: "/a/x.mid"}, map[string]string{"sweep.html": "3"}))
	require.Equal(t, []string{"mend.html", "sweep.html"}, list(t, dir), "another command on the same score")
	require.NoError(t, put(t, Run{Dir: dir, Command: "proof", Source: "/a/y.mid"}, map[string]string{"proof.html": "4"}))
	require.Equal(t, []string{"proof.html"}, list(t, dir), "another score")
}

func TestFilesOfTheUser(t *testing.T) {
	dir := t.TempDir()
	mine := filepath.Join(dir, "mended.mid")
	require.NoError(t, os.WriteFile(mine, []byte("mine"), 0o644))
	files := map[string]string{"mended.mid": "new", "mend.html": "new"}
	r := Run{Dir: dir, Command: "mend", Source: "/a/x.mid"}
	require.ErrorContains(t, put(t, r, files), "--force")
	require.Equal(t, []string{"mended.mid"}, list(t, dir))

	r.Force, r.Inputs = true, []string{mine}
	require.ErrorContains(t, put(t, r, files), "is read by this run", "not even by force")
	r.Inputs = nil
	require.NoError(t, put(t, r, files))
	require.Equal(t, "new", text(t, mine))

	r.Force = false
	require.NoError(t, put(t, r, files), "what the program wrote it may replace")
	require.NoError(t, os.WriteFile(mine, []byte("corrected by hand"), 0o644))
	require.ErrorContains(t, put(t, r, files), "changed since")
	require.NoError(t, put(t, r, map[string]string{"mend.html": "3"}))
	require.Equal(t, "corrected by hand", text(t, mine), "what was changed since is not cleared away")
}

func TestInputThroughLinks(t *testing.T) {
	dir := t.TempDir()
	score := filepath.Join(dir, "score.mid")
	require.NoError(t, os.WriteFile(score, []byte("mine"), 0o644))
	for name, link := range map[string]func(from, to string) error{"soft": os.Symlink, "hard": os.Link} {
		t.Run(name, func(t *testing.T) {
			out := filepath.Join(dir, name)
			require.NoError(t, os.Mkdir(out, 0o755))
			if err := link(score, filepath.Join(out, "annotated.mid")); err != nil {
				t.Skip(err)
			}
			r := Run{Dir: out, Command: "proof", Source: score, Inputs: []string{score}, Force: true}
			require.ErrorContains(t, put(t, r, map[string]string{"annotated.mid": "new"}), "is read by this run")
			require.ErrorContains(t, CheckFile(filepath.Join(out, "annotated.mid"), true, score), "is read by this run")
		})
	}
}

// An input that would be cleared away as a stale result is kept.
func TestInputAmongEarlierResults(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, put(t, Run{Dir: dir, Command: "mend", Source: "/a/x.mid"}, map[string]string{"mended.mid": "1"}))
	mended := filepath.Join(dir, "mended.mid")
	err := put(t, Run{Dir: dir, Command: "proof", Source: mended, Inputs: []string{mended}}, map[string]string{"proof.html": "2"})
	require.ErrorContains(t, err, "is read by this run")
	require.FileExists(t, mended)
}

func TestDefaultFolderOfAnotherScore(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "prelude.proof")
	r := Run{Dir: dir, Command: "proof", Source: "/a/prelude.mid", Default: true}
	require.NoError(t, put(t, r, map[string]string{"proof.html": "a"}))
	r.Source = "/b/prelude.mid"
	require.ErrorContains(t, put(t, r, map[string]string{"proof.html": "b"}), "another score")
	r.Default = false
	require.NoError(t, put(t, r, map[string]string{"proof.html": "b"}))
}

// Wherever placing breaks off, no page is there beside files that it does not belong to, and the next
// run may replace what was left.
func TestPagesComeLastAndGoFirst(t *testing.T) {
	require.True(t, slices.IsSortedFunc([]string{"before/heard.wav", "mended.mid", "before/proof.json", "mend.json", "before/proof.html", "mend.html"},
		func(a, b string) int { return pageRank(a) - pageRank(b) }))
	dir := t.TempDir()
	r := Run{Dir: dir, Command: "proof", Source: "x"}
	require.NoError(t, put(t, r, map[string]string{"heard.wav": "1", "proof.html": "1"}))
	// the place of the new sound is taken: placing fails on the way
	r.Names = []string{"heard.wav", "proof.html"}
	f, err := Open(r)
	require.NoError(t, err)
	defer f.Discard()
	require.NoError(t, os.WriteFile(filepath.Join(f.Dir(), "heard.wav"), []byte("2"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(f.Dir(), "proof.html"), []byte("2"), 0o644))
	require.NoError(t, os.Remove(filepath.Join(dir, "heard.wav")))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "heard.wav", "in the way"), 0o755))
	require.Error(t, f.Place())
	f.Discard()
	require.NoFileExists(t, filepath.Join(dir, "proof.html"))
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "heard.wav")))
	require.NoError(t, put(t, r, map[string]string{"heard.wav": "3", "proof.html": "3"}))
}

func TestDiscardedLeavesNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out")
	f, err := Open(Run{Dir: dir, Command: "proof", Source: "x"})
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(f.Dir(), "proof.html"), nil, 0o644))
	require.Equal(t, 1, DiscardAll())
	require.NoDirExists(t, dir)
	require.Error(t, f.Place())
}

// Folders of runs that were killed are swept; those of runs under way are not.
func TestLeftovers(t *testing.T) {
	dir := t.TempDir()
	dead := filepath.Join(dir, stagePrefix+"999999999-1")
	require.NoError(t, os.MkdirAll(dead, 0o700))
	other, err := Open(Run{Dir: dir, Command: "sweep", Source: "x"})
	require.NoError(t, err)
	defer other.Discard()
	require.NoDirExists(t, dead)
	f, err := Open(Run{Dir: dir, Command: "proof", Source: "x"})
	require.NoError(t, err)
	defer f.Discard()
	require.DirExists(t, other.Dir())
}

func TestMarkThatLeadsOut(t *testing.T) {
	top := t.TempDir()
	dir, victim := filepath.Join(top, "out"), filepath.Join(top, "victim")
	require.NoError(t, os.Mkdir(dir, 0o755))
	require.NoError(t, os.WriteFile(victim, []byte("x"), 0o644))
	d, err := digestFile(victim)
	require.NoError(t, err)
	require.NoError(t, mark{[]marked{{"proof", "", []markedFile{{"../victim", d}}}}}.write(dir))
	require.NoError(t, put(t, Run{Dir: dir, Command: "proof", Source: "x"}, map[string]string{"proof.html": "1"}))
	require.FileExists(t, victim)
	require.NoError(t, os.WriteFile(filepath.Join(dir, markName), []byte("{"), 0o644))
	require.ErrorContains(t, put(t, Run{Dir: dir, Command: "proof", Source: "x"}, nil), "remove it")
}

func TestNoStageIsLeft(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, put(t, Run{Dir: dir, Command: "proof", Source: "x"}, map[string]string{"a/b.wav": "1"}))
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		require.False(t, strings.HasPrefix(d.Name(), stagePrefix), path)
		return err
	}))
}
