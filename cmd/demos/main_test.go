package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"afterchord/sim/score"
	"afterchord/sim/score/smf"
)

// TestFilesAreCurrent holds the files in the folder to the program.
func TestFilesAreCurrent(t *testing.T) {
	for _, p := range pieces {
		s, err := p.compose()
		require.NoError(t, err)
		var b bytes.Buffer
		require.NoError(t, smf.Write(&b, s))
		have, err := os.ReadFile(filepath.Join("..", "..", "sim", "demos", p.file))
		require.NoError(t, err)
		require.True(t, bytes.Equal(have, b.Bytes()), "%s is not what the program writes: run go run ./cmd/demos", p.file)
		back, err := smf.Read(have, p.file)
		require.NoError(t, err)
		require.Equal(t, p.title, back.Title)
		require.Len(t, back.Notes, len(s.Notes))
		require.Empty(t, back.Remarks)
		require.Equal(t, int(s.End/bar), len(back.Bars))
	}
}

// sounding gives the key of a voice at every semiquaver from bar first on, -1 for a rest.
func sounding(t *testing.T, v voice, bars int) []int {
	s := &score.Score{}
	require.NoError(t, v.write(s, line{}))
	out := make([]int, bars*16)
	for i := range out {
		out[i] = -1
	}
	for _, n := range s.Notes {
		for i := n.On / (crotchet / 4); i < n.Off/(crotchet/4); i++ {
			out[i] = n.Key
		}
	}
	return out
}

// TestVoiceLeading: in the chordal pieces no two voices move in parallel perfect
// fifths, octaves or unisons from one note to the next, and manual voices do not
// cross (common practice in part-writing). The dotted pedal is left out of the
// parallels: it breaks its chords.
func TestVoiceLeading(t *testing.T) {
	for _, p := range []piece{drop, dotted} {
		s, err := p.compose()
		require.NoError(t, err)
		bars := int(s.End / bar)
		for i, a := range p.voices {
			for _, b := range p.voices[i+1:] {
				if p.file == "dotted.mid" && b.line == pedal {
					continue
				}
				x, y := sounding(t, a, bars), sounding(t, b, bars)
				for k := 1; k < len(x); k++ {
					if x[k] < 0 || y[k] < 0 || x[k-1] < 0 || y[k-1] < 0 {
						continue
					}
					require.GreaterOrEqual(t, x[k], y[k], "%s: voices cross in bar %d", p.file, k/16+1)
					was, is := x[k-1]-y[k-1], x[k]-y[k]
					if x[k] != x[k-1] && y[k] != y[k-1] && (x[k] > x[k-1]) == (y[k] > y[k-1]) && was%12 == is%12 {
						require.NotContains(t, []int{0, 7}, is%12, "%s: parallels in bar %d, semiquaver %d: %d over %d to %d over %d", p.file, k/16+1, k%16, x[k-1], y[k-1], x[k], y[k])
					}
				}
			}
		}
	}
}

// TestCompass: manuals C2 to C7, pedal C2 to F4 (common practice).
func TestCompass(t *testing.T) {
	for _, p := range pieces {
		s, err := p.compose()
		require.NoError(t, err)
		for _, n := range s.Notes {
			high := 96
			if n.Part == pedal {
				high = 65
			}
			require.True(t, n.Key >= 36 && n.Key <= high, "%s: %s", p.file, score.KeyName(n.Key))
		}
	}
}
