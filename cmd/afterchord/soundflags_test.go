package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"afterchord/acoustics/geometry"
	"afterchord/acoustics/response"
	"afterchord/acoustics/room"
	"afterchord/acoustics/wav"
	"afterchord/sim/proof"

	"github.com/stretchr/testify/require"
)

func TestProofForHeadphones(t *testing.T) {
	plain, ears := filepath.Join(t.TempDir(), "a"), filepath.Join(t.TempDir(), "b")
	args := []string{"proof", "demo:solo", "--room", "chapel", "--remedies", "0", "--rate", "44100", "--out"}
	must(t, append(args, plain)...)
	must(t, append(args, ears, "--ears")...)
	require.NoFileExists(t, filepath.Join(ears, "heard.wav"))
	read := func(dir, name string) []byte {
		data, err := os.ReadFile(filepath.Join(dir, name))
		require.NoError(t, err)
		return data
	}
	a, b := read(plain, "heard.wav"), read(ears, "heard-ears.wav")
	require.False(t, bytes.Equal(a, b))
	var before, after proof.Document
	require.NoError(t, json.Unmarshal(read(plain, "proof.json"), &before))
	require.NoError(t, json.Unmarshal(read(ears, "proof.json"), &after))
	require.Equal(t, before.Findings, after.Findings)
	require.Equal(t, before.Timeline, after.Timeline)
	require.False(t, before.Sound.Ears)
	require.True(t, after.Sound.Ears)
	require.InDelta(t, before.Sound.LoudestDB, after.Sound.LoudestDB, 2)
	page := string(read(ears, "proof.html"))
	require.Contains(t, page, "./heard-ears.wav")
	require.Contains(t, page, "a plain sphere for a head")
	require.NotContains(t, string(read(plain, "proof.html")), "a plain sphere for a head")
}

func TestEarsAreRefusedWhereTheyCannotBe(t *testing.T) {
	hall, _ := room.BuiltIn("chapel")
	seat, err := hall.Seat("middle")
	require.NoError(t, err)
	clap := filepath.Join(t.TempDir(), "clap.wav")
	w, err := wav.Create(clap, wav.Options{Rate: 48000})
	require.NoError(t, err)
	r := response.Whole(hall, geometry.Point{Y: -1, Z: 3}, seat, 48000)
	top := 0.0
	for _, v := range r.L {
		top = max(top, v, -v)
	}
	for i := range r.L {
		require.NoError(t, w.Write64([]float64{r.L[i] / top / 2, r.R[i] / top / 2}))
	}
	require.NoError(t, w.Close())
	for _, command := range []string{"proof", "mend", "compare"} {
		args := []string{command, "demo:drop", "--room", clap, "--ears", "--out", filepath.Join(t.TempDir(), "out")}
		switch command {
		case "mend":
			args = append(args, "--all")
		case "compare":
			args = append(args, "--with-room", "chapel")
		}
		refused(t, true, "recorded", args...)
	}
	refused(t, true, "--no-audio", "proof", "demo:drop", "--ears", "--no-audio")
	refused(t, true, "--list leaves it out", "mend", "demo:drop", "--ears", "--list")
}
