package main

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"afterchord/sim/demos"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
	"afterchord/sim/score"
	"afterchord/sim/score/musicxml"
	"afterchord/sim/score/smf"
)

// vigil is the demo in MusicXML as a file, plain or packed.
func vigil(t *testing.T, name string, edit func(string) string) string {
	t.Helper()
	data, ok := demos.Piece("vigil")
	require.True(t, ok)
	if edit != nil {
		data = []byte(edit(string(data)))
	}
	if filepath.Ext(name) == ".mxl" {
		s, err := musicxml.Read(data, "vigil.musicxml")
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, musicxml.WriteCompressed(&b, s))
		data = b.Bytes()
	}
	file := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(file, data, 0o644))
	return file
}

func proved(t *testing.T, file string, args ...string) (*proof.Document, string) {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out")
	must(t, append([]string{"proof", file, "--no-audio", "--remedies", "0", "--room", "cathedral", "--out", out}, args...)...)
	data, err := os.ReadFile(filepath.Join(out, "proof.json"))
	require.NoError(t, err)
	var d proof.Document
	require.NoError(t, json.Unmarshal(data, &d))
	return &d, out
}

// A score in MusicXML, plain and packed, through the command: printed bar numbers, hands on the
// manuals that the words say, hairpins as moves of the box, what is not understood by its bar.
func TestProofOfNotation(t *testing.T) {
	d, out := proved(t, vigil(t, "vigil.musicxml", nil), "--annotate")
	packed, _ := proved(t, vigil(t, "vigil.mxl", nil))
	assert.Equal(t, d.Findings, packed.Findings)
	assert.Equal(t, d.Bars, packed.Bars)

	var printed []int
	for _, b := range d.Bars {
		printed = append(printed, b.Number)
	}
	assert.Equal(t, []int{0, 1, 2, 3, 4, 1, 2, 3, 5, 6, 7, 8, 9, 10, 11, 12}, printed)
	require.NotEmpty(t, d.Findings)
	var covered []int
	for _, f := range d.Findings {
		if f.Kind == finding.KindCoveredEntry && f.Severity == finding.Fail {
			covered = append(covered, f.Bar)
		}
	}
	assert.Contains(t, covered, 10, "the quiet answer after the loud chords")

	assert.Equal(t, []string{"Swell", "Swell", "Pedal"}, []string{d.Organ.Mapping[0].Division, d.Organ.Mapping[1].Division, d.Organ.Mapping[2].Division})
	assert.Contains(t, d.Organ.Mapping[0].Why, "Great from bar 6, Swell from bar 10")
	assert.Contains(t, d.Remarks, proof.Remark{Bar: 11, Text: `words not read as registration: "quasi da lontano"`})

	type stand struct {
		bar  int
		open float64
	}
	var stands []stand
	for _, m := range d.Organ.Box {
		assert.Equal(t, "Swell", m.Division)
		if m.Beat == 1 {
			stands = append(stands, stand{m.Bar, m.Open})
		}
	}
	assert.Equal(t, []stand{{1, 0.5}, {3, 0.3}, {4, 1}, {1, 0.5}, {3, 0.3}, {5, 1}, {11, 1}, {12, 0.3}}, stands)
	swelling, _ := proved(t, vigil(t, "vigil.musicxml", nil), "--room", "parish-church")
	flat, _ := proved(t, vigil(t, "flat.musicxml", func(s string) string { // without hairpins the box stays where it stood
		var lines []string
		for _, l := range strings.Split(s, "\n") {
			if !strings.Contains(l, "<wedge") {
				lines = append(lines, l)
			}
		}
		return strings.Join(lines, "\n")
	}), "--room", "parish-church")
	level := func(d *proof.Document, s float64) float64 {
		return float64(d.Timeline.LevelDB[int(math.Round(s/d.Timeline.StepS))])
	}
	bar := 240 / 72.0
	at := 60/72.0 + 2*bar // bar 3, whose crescendo has no pedal under it
	assert.Less(t, level(swelling, at+0.15*bar), level(flat, at+0.15*bar)-1, "the box is drawn in")
	assert.Greater(t, level(swelling, at+0.95*bar), level(flat, at+0.95*bar)+3, "and opens")

	_, err := musicxml.Read(readAll(t, filepath.Join(out, "annotated.musicxml")), "annotated.musicxml")
	assert.NoError(t, err)
	assert.Contains(t, string(readAll(t, filepath.Join(out, "annotated.musicxml"))), "■ 1 covered entry (lost): ")
}

func TestAnnotatedMIDI(t *testing.T) {
	d, out := proved(t, "demo:drop", "--annotate", "--tempo", "0.9")
	s, err := smf.Read(readAll(t, filepath.Join(out, "annotated.mid")), "annotated.mid")
	require.NoError(t, err)
	assert.InDelta(t, 76, s.TempoAt(0), 0.01, "the tempo of the file stays")
	var bars []int
	for _, w := range s.Words {
		if w.Kind == score.Marker && strings.HasPrefix(w.Text, "1 covered entry (lost): ") {
			bars = append(bars, s.Position(w.At).Bar)
		}
	}
	assert.Equal(t, []int{d.Findings[0].Bar}, bars)
	_, out = proved(t, "demo:drop")
	assert.NoFileExists(t, filepath.Join(out, "annotated.mid"), "only where it is asked for")
}

// What mend does not change is as it was in the file, and what it writes can be proved again.
func TestMendAndSweepOfNotation(t *testing.T) {
	file, out := vigil(t, "vigil.mxl", nil), filepath.Join(t.TempDir(), "out")
	must(t, "mend", file, "--room", "cathedral", "--finding", "1", "--no-audio", "--out", out)
	mended := readAll(t, filepath.Join(out, "mended.musicxml"))
	for _, x := range []string{"<words>quasi da lontano</words>", `<wedge type="crescendo"/>`, `<ending number="2" type="discontinue"/>`, "<fermata/>", `implicit="yes"`} {
		assert.Contains(t, string(mended), x)
	}
	before, _ := proved(t, file)
	after, _ := proved(t, filepath.Join(out, "mended.musicxml"))
	lost := func(d *proof.Document) (sum float64) {
		for _, f := range d.Findings {
			sum += f.Weight
		}
		return sum
	}
	assert.Less(t, lost(after), lost(before))
	assert.Equal(t, before.Organ.Box, after.Organ.Box)

	text := must(t, "sweep", file, "--rooms", "chapel,cathedral", "--tempi", "1", "--out", filepath.Join(t.TempDir(), "sweep"))
	assert.Contains(t, text, "cathedral")
	assert.Contains(t, text, "10-12", "passages by printed bars")
}

func readAll(t *testing.T, path string) []byte {
	t.Helper()
	data, err := os.ReadFile(path)
	require.NoError(t, err)
	return data
}
