package smf

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
)

// hymn is 16 bars of 4/4 in minims and crotchets over a bass that changes on the downbeat, after an upbeat of a
// crotchet that the file counts as the first beat of bar 1.
func hymn(upbeat bool) []byte {
	var e [][]byte
	if upbeat {
		e = append(e, note(0, 96, 0, 67))
	}
	for i := range 16 {
		e = append(e, at(0, 0x90, byte(48+i%5), 80), note(0, 192, 0, 72), note(0, 96, 0, 71), note(0, 96, 0, 69), at(0, 0x80, byte(48+i%5), 64))
	}
	return smfBytes(1, 96, body(metaAt(0, 0x58, 4, 2, 24, 8), endAt(0)), body(append(e, endAt(0))...))
}

func TestUpbeat(t *testing.T) {
	read := func(data []byte, o Options) *score.Score {
		t.Helper()
		s, err := ReadWith(data, "hymn.mid", o)
		require.NoError(t, err)
		checkBars(t, s)
		return s
	}
	guessed := read(hymn(true), Options{})
	require.Equal(t, score.Bar{Number: 0, Length: 96, Metre: score.Metre{At: 96, Beats: 4, Unit: 4}}, guessed.Bars[0])
	require.Equal(t, score.Position{Bar: 0, Beat: 4}, guessed.Position(0))
	require.Equal(t, score.Position{Bar: 1, Beat: 1}, guessed.Position(96))
	require.True(t, hasRemark(guessed, "an upbeat of 1 crotchet (a guess"))
	require.Equal(t, 1, read(hymn(true), Options{Upbeat: NoUpbeat}).Bars[0].Number)
	require.False(t, hasRemark(read(hymn(true), Options{Upbeat: 1}), "guess"))
	require.Equal(t, guessed.Bars, read(hymn(true), Options{Upbeat: 1}).Bars)
	require.Equal(t, score.Tick(48), read(hymn(true), Options{Upbeat: 0.5}).Bars[0].Length)
	plain := read(hymn(false), Options{})
	require.Equal(t, 1, plain.Bars[0].Number)
	require.False(t, hasRemark(plain, "upbeat"))
	_, err := ReadWith(hymn(true), "hymn.mid", Options{Upbeat: 4})
	require.ErrorContains(t, err, "an upbeat of 4 crotchets does not fit a bar of 4/4 (4 crotchets)")
	// The file itself stays as it is.
	var b bytes.Buffer
	require.NoError(t, Write(&b, guessed))
	require.Equal(t, hymn(true), b.Bytes())
}

// Of the works of a shared corpus, where it lies beside this checkout, two begin with an upbeat that their files count as
// a full bar: a crotchet in a sonata in F minor (the printed music has it; from memory), a quaver in a prelude in C minor
// (all its long notes and basses say so). The others are left alone.
func TestUpbeatsOfWholeWorks(t *testing.T) {
	files, _ := filepath.Glob("../../../../shared/corpus/*/*.mid")
	if len(files) == 0 {
		t.Skip("the corpus is not beside this checkout")
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		require.NoError(t, err)
		s, err := Read(data, f)
		require.NoError(t, err)
		want := map[string]float64{"beet2-1-1.mid": 1, "mend37-1-1.mid": 0.5}[filepath.Base(f)]
		got := 0.0
		if s.Bars[0].Number == 0 {
			got = float64(s.Bars[0].Length) / float64(s.TicksPerCrotchet)
		}
		require.Equal(t, want, got, f)
	}
}

// Long notes in the middle of each bar are no downbeats where the loudness changes with the bars of the file.
func TestDynamicsSayWhereTheBarBegins(t *testing.T) {
	piece := func(velocity func(bar int) byte) []byte {
		var e [][]byte
		for i := range 16 {
			v := velocity(i)
			e = append(e, at(0, 0x90, 67, v), at(96, 0x80, 67, 0), at(0, 0x90, 69, v), at(96, 0x80, 69, 0), at(0, 0x90, 55, v), at(192, 0x80, 55, 0))
		}
		return smfBytes(1, 96, body(metaAt(0, 0x58, 4, 2, 24, 8), endAt(0)), body(append(e, endAt(0))...))
	}
	first := func(data []byte) int {
		s, err := ReadWith(data, "echo.mid", Options{})
		require.NoError(t, err)
		return s.Bars[0].Number
	}
	require.Equal(t, 0, first(piece(func(int) byte { return 80 })))
	require.Equal(t, 1, first(piece(func(bar int) byte { return []byte{112, 112, 49, 49}[bar%4] })))
}
