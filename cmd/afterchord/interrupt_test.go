//go:build unix

package main

import (
	"encoding/json"
	"errors"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"afterchord/acoustics/longtest"
	"afterchord/cmd/bench/piece"
)

// interruptions is how many moments each command is interrupted at with each signal; AFTERCHORD_INTERRUPTIONS
// asks for more.
func interruptions() int {
	n, err := strconv.Atoi(os.Getenv("AFTERCHORD_INTERRUPTIONS"))
	if err != nil {
		return 1
	}
	return n
}

// TestInterrupted ends the commands that write results at moments of its run with three signals. What is
// left is the whole earlier result, the whole new one, or a folder without pages; never a mixture.
func TestInterrupted(t *testing.T) {
	dir := t.TempDir()
	long, short := filepath.Join(dir, "long", "piece.mid"), filepath.Join(dir, "short", "piece.mid")
	for path, seconds := range map[string]float64{long: 600, short: 20} {
		require.NoError(t, os.Mkdir(filepath.Dir(path), 0o755))
		require.NoError(t, os.WriteFile(path, piece.SMF(piece.Options{Seed: 2, Seconds: seconds}), 0o644))
	}
	rng := rand.New(rand.NewPCG(1, 2))
	commands := [][]string{
		{"proof", "--room", "chapel", "--remedies", "0", "--annotate"},
		{"mend", "--room", "chapel", "--all", "--no-audio"},
		{"sweep", "--rooms", "chapel,abbey", "--tempi", "1"},
		{"compare", "--room", "chapel", "--with-room", "abbey"},
	}
	for _, command := range commands[:longtest.Of(2, len(commands))] {
		t.Run(command[0], func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "out")
			run := func(score string) *exec.Cmd {
				args := append([]string{command[0], score, "--out", out}, command[1:]...)
				return exec.Command(binaryPath(t), args...)
			}
			first, err := run(short).CombinedOutput()
			require.NoError(t, err, "%s", first)
			for range interruptions() {
				for _, signal := range []os.Signal{os.Interrupt, syscall.SIGTERM, os.Kill} {
					cmd := run(long)
					killed := unfinished(t, out) // of the run before, if this one does not come to sweeping it
					require.NoError(t, cmd.Start())
					time.Sleep(time.Duration(rng.IntN(1500)) * time.Millisecond)
					_ = cmd.Process.Signal(signal)
					_ = cmd.Wait()
					if code := cmd.ProcessState.ExitCode(); signal != os.Kill && code > 0 { // below 0: it had not yet begun
						require.Equal(t, codeInterrupted, code, "%v", signal)
						require.Subset(t, killed, unfinished(t, out), "%v", signal)
					}
					oneWhole(t, out)
				}
			}
			last, err := run(short).CombinedOutput()
			require.NoError(t, err, "%s", last)
			require.Empty(t, unfinished(t, out), "what kills have left is swept")
			oneWhole(t, out)
		})
	}
}

// unfinished lists what is in a folder of results beside results.
func unfinished(t *testing.T, dir string) []string {
	t.Helper()
	var found []string
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && strings.HasPrefix(d.Name(), ".afterchord-") && d.Name() != ".afterchord-results.json" {
			found = append(found, path)
		}
		return err
	})
	if !errors.Is(err, fs.ErrNotExist) {
		require.NoError(t, err)
	}
	return found
}

// oneWhole holds the files of a folder to its mark: where a page is, all files of its result are, and no
// others.
func oneWhole(t *testing.T, dir string) {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(dir, ".afterchord-results.json"))
	require.NoError(t, err)
	var mark struct {
		Results []struct {
			Files []struct{ Name string }
		}
	}
	require.NoError(t, json.Unmarshal(data, &mark))
	require.Len(t, mark.Results, 1)
	pages, _ := filepath.Glob(filepath.Join(dir, "*.html"))
	if len(pages) == 0 {
		return
	}
	var there []string
	require.NoError(t, filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && d.IsDir() && strings.HasPrefix(d.Name(), ".afterchord-") {
			return fs.SkipDir
		}
		if err == nil && !d.IsDir() && !strings.HasPrefix(d.Name(), ".afterchord-") {
			rel, _ := filepath.Rel(dir, path)
			there = append(there, filepath.ToSlash(rel))
		}
		return err
	}))
	var marked []string
	for _, f := range mark.Results[0].Files {
		marked = append(marked, f.Name)
	}
	slices.Sort(marked)
	slices.Sort(there)
	require.Equal(t, slices.Compact(marked), there)
}

// TestPipesAndDevices: what is no file is refused at once in one line.
func TestPipesAndDevices(t *testing.T) {
	pipe := filepath.Join(t.TempDir(), "pipe.mid")
	require.NoError(t, syscall.Mkfifo(pipe, 0o644))
	for _, args := range [][]string{
		{"proof", pipe}, {"proof", "/dev/zero"}, {"proof", "demo:drop", "--settings", pipe}, {"proof", "demo:drop", "--organ", pipe},
		{"proof", "demo:drop", "--stops", pipe}, {"proof", "demo:drop", "--room", pipe + ".toml"}, {"room", "measure", pipe},
	} {
		t.Run(strings.Join(args[:len(args)-1], " "), func(t *testing.T) {
			if strings.HasSuffix(args[len(args)-1], ".mid.toml") {
				_ = syscall.Mkfifo(args[len(args)-1], 0o644)
			}
			o := call(t, binaryPath(t), args...)
			require.Equal(t, exitFailure, o.code, o.stderr)
			require.Regexp(t, `^afterchord: [^\n]+\n$`, o.stderr)
		})
	}
}
