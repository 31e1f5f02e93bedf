package musicxml

import (
	"bytes"
	"io"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

func vesper(t testing.TB) []byte {
	data, err := os.ReadFile("../../../testdata/vesper.musicxml")
	require.NoError(t, err)
	return data
}

func TestVesper(t *testing.T) {
	data := vesper(t)
	s := mustRead(t, data)
	require.Empty(t, s.Remarks)
	require.Len(t, s.Parts, 3)
	require.Equal(t, squeeze(string(data)), squeeze(written(t, s)))
	// The tie over the bar line of the volta, and the fermata at the end.
	n := find(t, s, 0, 4, "F#5")
	require.Equal(t, 5*s.TicksPerCrotchet, n.Off-n.On)
	last := s.Bars[len(s.Bars)-1]
	require.InDelta(t, 4*60/76.0*FermataFactor, s.Seconds(last.Start+last.Length)-s.Seconds(last.Start), 1e-9)
	// A chord shortened before the soft entry, as a remedy does, is printed so.
	c := s.Clone()
	for i := range c.Notes {
		if x := &c.Notes[i]; c.Position(x.On).Bar == 4 && x.Part == 0 {
			x.Off = x.On + 3*c.TicksPerCrotchet
		}
	}
	again := requireWhole(t, written(t, c))
	require.ElementsMatch(t, sounds(c), sounds(again))
	require.Equal(t, len(s.Words), len(again.Words))
}

// long is a piece of some thousand bars.
func long(t testing.TB, times int) []byte {
	data := string(vesper(t))
	from, to := strings.Index(data, `    <measure number="1"`), strings.Index(data, `    <measure number="7"`)
	return []byte(data[:from] + strings.Repeat(data[from:to], times) + data[to:])
}

func BenchmarkRead(b *testing.B) {
	data := long(b, 150) // 900 printed bars
	b.SetBytes(int64(len(data)))
	for b.Loop() {
		_, err := Read(data, "long.musicxml")
		require.NoError(b, err)
	}
}

func BenchmarkWrite(b *testing.B) {
	s, err := Read(long(b, 150), "long.musicxml")
	require.NoError(b, err)
	for b.Loop() {
		require.NoError(b, Write(io.Discard, s))
	}
}

// Reading takes time in proportion to the file: no bar is walked through again
// and again. Counted in allocations, which do not depend on the machine.
func TestReadingIsLinear(t *testing.T) {
	one, four := long(t, 10), long(t, 40)
	count := func(data []byte) float64 {
		return testing.AllocsPerRun(2, func() { _, _ = Read(bytes.Clone(data), "x") })
	}
	require.Less(t, count(four)/count(one), 4.4)
}
