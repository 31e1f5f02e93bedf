package main

import (
	"os"
	"path/filepath"
	"testing"

	"afterchord/acoustics/room"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A church counted or described gives a file that is without mistakes and carries its doubt into the report.
func TestRoomWithoutMeasuring(t *testing.T) {
	for name, args := range map[string][]string{
		"counted":   {"--counted", "5"},
		"described": {"--size", "40x16x14", "--steps", "--walls", "stone", "--ceiling", "wooden vault", "--people", "100"},
	} {
		t.Run(name, func(t *testing.T) {
			file := filepath.Join(t.TempDir(), "ours.toml")
			must(t, append([]string{"room", "make", "--out", file}, args...)...)
			out := must(t, "room", "check", file)
			assert.Contains(t, out, "ours.toml: no mistakes")
			assert.Contains(t, out, "! ", "the caution that it is not measured")
			r, err := room.Load(file)
			require.NoError(t, err)
			require.Len(t, r.Cautions, 1)
			assert.Contains(t, r.Cautions[0], "not measured")
			out = must(t, "proof", "demo:drop", "--room", file, "--no-audio", "-o", filepath.Join(t.TempDir(), "p"))
			assert.Contains(t, out, "this room: "+name)
		})
	}
}

func TestStepsAreLengths(t *testing.T) {
	out := must(t, "room", "make", "--size", "40x16x12", "--steps", "--walls", "stone")
	assert.Contains(t, out, "3240 m") // 30 x 12 x 9 m
}

func TestRoomWaysRefuse(t *testing.T) {
	for _, c := range []struct {
		name, want string
		args       []string
	}{
		{"unknown word", `--walls "cheese": give one of plaster`, []string{"--size", "30x12x11", "--walls", "cheese"}},
		{"no size", "how large is the room?", []string{"--walls", "stone"}},
		{"volume alone", "needs the size", []string{"--volume", "4000", "--walls", "stone"}},
		{"two ways", "not both", []string{"--size", "30x12x11", "--walls", "stone", "--surface", "brick 100"}},
		{"counted and more", "leave out --people", []string{"--counted", "5", "--people", "30"}},
		{"too short a count", "give 2 to 20 counted seconds", []string{"--counted", "1"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			refused(t, true, c.want, append([]string{"room", "make"}, c.args...)...)
		})
	}
}

func TestRoomCheckNamesMistakes(t *testing.T) {
	file := filepath.Join(t.TempDir(), "ours.toml")
	require.NoError(t, os.WriteFile(file, []byte("humidity = 0\nrt = 2\ncolour = 3\n"), 0o644))
	out, err := inProcess("room", "check", file)
	require.ErrorContains(t, err, "ours.toml: 2 mistakes")
	assert.Contains(t, out, "ours.toml:1: humidity")
	assert.Contains(t, out, "ours.toml:3: unknown key")
}
