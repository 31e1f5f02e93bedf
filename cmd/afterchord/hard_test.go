package main

import (
	"bytes"
	"encoding/binary"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/cmd/bench/piece"
	"afterchord/sim/demos"
)

var program struct {
	once sync.Once
	path string
	err  error
}

func TestMain(m *testing.M) {
	code := m.Run()
	if program.path != "" {
		os.RemoveAll(filepath.Dir(program.path))
	}
	os.Exit(code)
}

// binary builds the program once.
func binaryPath(t *testing.T) string {
	t.Helper()
	program.once.Do(func() {
		dir, err := os.MkdirTemp("", "afterchord")
		if err != nil {
			program.err = err
			return
		}
		program.path = filepath.Join(dir, "afterchord")
		if out, err := exec.Command("go", "build", "-o", program.path, ".").CombinedOutput(); err != nil {
			program.err = fmt.Errorf("%w: %s", err, out)
		}
	})
	require.NoError(t, program.err)
	return program.path
}

// outcome is how a run of the program ended.
type outcome struct {
	code           int
	stdout, stderr string
}

// call runs a command to its end; a run of more than a minute is endless.
func call(t *testing.T, name string, args ...string) outcome {
	t.Helper()
	cmd := exec.Command(name, args...)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	require.NoError(t, cmd.Start())
	clock := time.AfterFunc(time.Minute, func() { cmd.Process.Kill() })
	err := cmd.Wait()
	require.True(t, clock.Stop(), "endless: %v", args)
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	return outcome{cmd.ProcessState.ExitCode(), out.String(), errs.String()}
}

// answered asserts that a run gave whole files, or one line and an exit code.
func answered(t *testing.T, o outcome, out string) {
	t.Helper()
	assert.NotContains(t, o.stderr, "goroutine")
	assert.NotContains(t, o.stderr, "panic")
	data, err := os.ReadFile(filepath.Join(out, "proof.json"))
	if err == nil {
		assert.True(t, json.Valid(data), "proof.json is cut")
	}
	if page, err := os.ReadFile(filepath.Join(out, "proof.html")); err == nil {
		assert.True(t, strings.HasSuffix(strings.TrimSpace(string(page)), "</html>"), "proof.html is cut")
	}
	if o.code == 0 {
		assert.NoError(t, err, "no proof.json")
		return
	}
	assert.Contains(t, []int{exitFailure, exitUsage}, o.code)
	assert.Regexp(t, `^afterchord: [^\n]+\n$`, o.stderr)
}

// track builds the bytes of a track.
type track struct{ bytes.Buffer }

func (t *track) event(delta int, data ...byte) {
	for shift := 28; shift > 0; shift -= 7 {
		if delta>>shift > 0 {
			t.WriteByte(byte(delta>>shift)&0x7f | 0x80)
		}
	}
	t.WriteByte(byte(delta) & 0x7f)
	t.Write(data)
}

// smf wraps tracks, each closed here, into a file with 480 ticks to the crotchet.
func midiFile(tracks ...*track) []byte {
	out := append([]byte("MThd\x00\x00\x00\x06\x00\x01"), byte(len(tracks)>>8), byte(len(tracks)), 480>>8, 480&255)
	for _, t := range tracks {
		t.event(0, 0xff, 0x2f, 0)
		out = append(out, "MTrk"...)
		out = binary.BigEndian.AppendUint32(out, uint32(t.Len()))
		out = append(out, t.Bytes()...)
	}
	return out
}

// notes is a track of notes struck and let go together.
func notes(keys, channels, repeats, ticks int) *track {
	t := &track{}
	for range repeats {
		for k := range keys {
			for c := range channels {
				t.event(0, 0x90|byte(c), byte((60+k)%128), 100)
			}
		}
		for k := range keys {
			for c := range channels {
				d := 0
				if k == 0 && c == 0 {
					d = ticks
				}
				t.event(d, 0x80|byte(c), byte((60+k)%128), 0)
			}
		}
	}
	return t
}

// usPerCrotchet is a track that only sets the tempo.
func usPerCrotchet(us int) *track {
	t := &track{}
	t.event(0, 0xff, 0x51, 3, byte(us>>16), byte(us>>8), byte(us))
	return t
}

// delayed is a track of one note after a rest.
func delayed(ticks int) *track {
	t := &track{}
	t.event(ticks, 0x90, 60, 100)
	t.event(480, 0x80, 60, 0)
	return t
}

func TestHardScores(t *testing.T) {
	dir := t.TempDir()
	long := piece.SMF(piece.Options{Seed: 3, Seconds: 60, Voices: 40})
	for _, c := range []struct {
		name string
		data []byte
		code int // -1: either an answer or an error
		args []string
	}{
		{"one note", midiFile(notes(1, 1, 1, 480)), 0, nil},
		{"all keys", midiFile(notes(128, 1, 2, 480)), 0, nil},
		{"all channels", midiFile(notes(1, 16, 4, 480)), 0, nil},
		{"all keys on all channels, twice over", midiFile(notes(128, 16, 3, 240), notes(128, 16, 3, 240)), exitFailure, nil}, // nobody has so many hands
		{"forty voices", long, 0, nil},
		{"a key held for an hour", midiFile(notes(1, 1, 1, 2*480*3600)), 0, nil},
		{"a note after an hour and a half", midiFile(delayed(2 * 480 * 5400)), 0, nil},
		{"a note after forty hours", midiFile(delayed(1<<27 - 1)), exitFailure, nil},
		{"slowest tempo of a file", midiFile(usPerCrotchet(0xffffff), notes(3, 1, 4, 480)), 0, nil},
		{"tempo 1000", midiFile(usPerCrotchet(60000), notes(3, 1, 200, 240)), 0, nil},
		{"fastest tempo of a file", midiFile(usPerCrotchet(1), notes(3, 1, 200, 240)), -1, nil},
		{"tempo of nothing", midiFile(usPerCrotchet(0), notes(3, 1, 200, 240)), -1, nil},
		{"tempo asked for: 1000", midiFile(notes(3, 1, 20, 240)), 0, []string{"--tempo", "1000"}},
		{"tempo asked for: a twentieth", midiFile(notes(3, 1, 20, 240)), 0, []string{"--tempo", "0.05"}},
		{"notes of no length", midiFile(notes(3, 1, 20, 0)), -1, nil},
		{"no notes", midiFile(&track{}), exitFailure, nil},
		{"empty file", nil, exitFailure, nil},
		{"a text", []byte("Dear organist, the score follows.\n"), exitFailure, nil},
		{"half a header", []byte("MThd\x00\x00"), exitFailure, nil},
		{"broken notation", []byte("<?xml version=\"1.0\"?><score-partwise><part>"), exitFailure, nil},
		{"broken archive", []byte("PK\x03\x04 not really"), exitFailure, nil},
	} {
		t.Run(c.name, func(t *testing.T) {
			file := filepath.Join(dir, strings.ReplaceAll(c.name, " ", "-")+".mid")
			require.NoError(t, os.WriteFile(file, c.data, 0o644))
			out := filepath.Join(t.TempDir(), "out")
			o := call(t, binaryPath(t), append([]string{"proof", file, "--no-audio", "--out", out}, c.args...)...)
			answered(t, o, out)
			if c.code >= 0 {
				assert.Equal(t, c.code, o.code, o.stderr)
			}
			if o.code != 0 {
				assert.Contains(t, o.stderr, filepath.Base(file), "the message names the file")
			}
		})
	}
}

// A file that breaks off anywhere is read as far as it goes, or refused in one line.
func TestCutFiles(t *testing.T) {
	data, _ := demos.Piece("solo")
	dir := t.TempDir()
	for n := 0; n < len(data); n += 1 + len(data)/24 {
		file, out := filepath.Join(dir, "cut.mid"), filepath.Join(dir, fmt.Sprint("out", n))
		require.NoError(t, os.WriteFile(file, data[:n], 0o644))
		answered(t, call(t, binaryPath(t), "proof", file, "--no-audio", "--out", out), out)
	}
}

func TestHardOptions(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "in-the-way")
	require.NoError(t, os.WriteFile(file, []byte("x"), 0o644))
	bad := filepath.Join(dir, "bad.toml")
	require.NoError(t, os.WriteFile(bad, []byte("[thresholds]\nblurred_share = nan\n"), 0o644))
	noise := filepath.Join(dir, "noise.toml")
	require.NoError(t, os.WriteFile(noise, []byte{0, 1, 2, 0xff, 0xfe, '=', '['}, 0o644))
	for _, c := range []struct {
		args []string
		code int
	}{
		{[]string{"--rt", "0"}, exitUsage},
		{[]string{"--rt", "-3"}, exitUsage},
		{[]string{"--rt", "NaN"}, exitUsage},
		{[]string{"--rt", "Inf"}, exitUsage},
		{[]string{"--rt", "60"}, exitUsage},
		{[]string{"--rt", "soon"}, exitUsage},
		{[]string{"--tempo", "0"}, exitUsage},
		{[]string{"--tempo", "-1"}, exitUsage},
		{[]string{"--tempo", "NaN"}, exitUsage},
		{[]string{"--seat", "-5"}, exitUsage},
		{[]string{"--seat", "NaN"}, exitUsage},
		{[]string{"--room", "nowhere"}, exitUsage},
		{[]string{"--room", filepath.Join(dir, "none.toml")}, exitFailure},
		{[]string{"--room", noise}, exitFailure},
		{[]string{"--organ", noise}, exitFailure},
		{[]string{"--settings", noise}, exitFailure},
		{[]string{"--settings", bad}, exitFailure},
		{[]string{"--settings", dir}, exitFailure},
		{[]string{"--stops", noise}, exitFailure},
		{[]string{"--assign", "nobody=Great"}, -1},
		{[]string{"--assign", "Great"}, exitUsage},
		{[]string{"--rate", "1"}, exitUsage},
		{[]string{"--bits", "12"}, exitUsage},
		{[]string{"--out", filepath.Join(file, "below")}, exitFailure},
		{[]string{"--out", file}, exitFailure},
		{[]string{"--loudly"}, exitUsage},
	} {
		t.Run(strings.ReplaceAll(strings.Join(c.args, " "), dir, ""), func(t *testing.T) {
			out := filepath.Join(t.TempDir(), "out")
			o := call(t, binaryPath(t), append([]string{"proof", "demo:solo", "--no-audio", "--out", out}, c.args...)...)
			answered(t, o, out)
			assert.NoDirExists(t, out)
			if c.code >= 0 {
				assert.Equal(t, c.code, o.code, o.stderr)
			}
		})
	}
}

// A disk that is full is an error in one line, and what is there is whole: the limit on
// the size of files stands for the disk.
func TestFullDisk(t *testing.T) {
	for _, args := range []string{"--no-audio", ""} {
		out := filepath.Join(t.TempDir(), "out")
		o := call(t, "sh", "-c", fmt.Sprintf("ulimit -f 16; exec '%s' proof demo:drop %s --room chapel --out '%s'", binaryPath(t), args, out))
		answered(t, o, out)
		assert.Equal(t, exitFailure, o.code)
		assert.NotContains(t, o.stderr, ".afterchord-", "no folder that is gone by now")
		assert.Empty(t, names(out))
	}
}

// Killed in the middle, the program leaves nothing under a final name.
func TestKilled(t *testing.T) {
	dir := t.TempDir()
	file, out := filepath.Join(dir, "piece.mid"), filepath.Join(dir, "out")
	require.NoError(t, os.WriteFile(file, piece.SMF(piece.Options{Seed: 1, Seconds: 1200}), 0o644))
	tmp := filepath.Join(dir, "tmp")
	require.NoError(t, os.Mkdir(tmp, 0o755))
	cmd := exec.Command(binaryPath(t), "proof", file, "--room", "cathedral", "--out", out)
	cmd.Env = append(os.Environ(), "TMPDIR="+tmp)
	require.NoError(t, cmd.Start())
	writing := func() int { return len(names(out)) + len(names(tmp)) }
	for range 3000 { // until it writes
		if writing() > 0 {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	time.Sleep(100 * time.Millisecond)
	assert.NotZero(t, writing(), "it never began to write")
	require.NoError(t, cmd.Process.Kill())
	cmd.Wait()
	for _, n := range names(out) {
		assert.NotContains(t, []string{"heard.wav", "proof.json", "proof.html"}, n)
	}
}

// names lists a folder, nothing where there is none.
func names(dir string) []string {
	list, _ := os.ReadDir(dir)
	var out []string
	for _, e := range list {
		out = append(out, e.Name())
	}
	return out
}
