package smf

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"afterchord/sim/score"

	"github.com/stretchr/testify/require"
)

// FuzzRead: any bytes give an error of one line or a sound score; a score
// writes a file that reads back as itself, also after an edit.
func FuzzRead(f *testing.F) {
	for _, seed := range fuzzSeeds() {
		f.Add(seed)
	}
	for _, name := range []string{"drop.mid", "solo.mid"} {
		data, err := os.ReadFile("../../demos/" + name)
		require.NoError(f, err)
		f.Add(data[:min(len(data), 400)])
		f.Add(data)
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		s, err := Read(data, "f.mid")
		if err != nil {
			require.NotContains(t, err.Error(), "\n")
			return
		}
		checkScore(t, s)
		out := written(t, s)
		back, err := Read(out, "f.mid")
		require.NoError(t, err)
		require.Equal(t, s.Notes, back.Notes)
		require.Equal(t, s.Tempos, back.Tempos)
		require.Equal(t, s.Words, back.Words)
		require.True(t, bytes.Equal(out, written(t, back)))

		c := s.Clone()
		c.Notes = c.Notes[1:]
		if len(c.Notes) == 0 {
			return
		}
		c.Notes[0].Off++
		c.Words = append(c.Words, score.Word{At: c.Notes[0].On, Part: -1, Kind: score.Marker, Text: "here"})
		for i := range c.Tempos {
			c.Tempos[i].Crotchets = 100
		}
		back, err = Read(written(t, c), "f.mid")
		if err != nil && strings.Contains(err.Error(), "at most") {
			return // the new tempo makes the piece too long
		}
		require.NoError(t, err)
		require.Len(t, back.Notes, len(c.Notes))
		checkScore(t, back)
	})
}

func checkScore(t *testing.T, s *score.Score) {
	t.Helper()
	checkBars(t, s)
	for _, n := range s.Notes {
		if n.On < 0 || n.Off <= n.On || n.Off > s.End || n.Key < 0 || n.Key > 127 || n.Velocity < 1 || n.Velocity > 127 || n.Part < 0 || n.Part >= len(s.Parts) {
			t.Fatalf("a note that cannot be: %+v", n)
		}
		if a, b := s.Seconds(n.On), s.Seconds(n.Off); !(a >= 0 && b > a && b < maxLengthS+maxSilenceS) {
			t.Fatalf("times %g and %g of %+v", a, b, n)
		}
		if p := s.Position(n.On); !(p.Beat >= 1) {
			t.Fatalf("position %+v", p)
		}
	}
	for i, x := range s.Tempos {
		if !(x.Crotchets > 0) || i > 0 && x.At <= s.Tempos[i-1].At {
			t.Fatalf("tempi %v", s.Tempos)
		}
	}
}

func fuzzSeeds() [][]byte {
	one := body(textAt(0, 3, "Pedal"), textAt(0, 1, "f"), metaAt(0, 0x58, 1, 2, 24, 8), metaAt(96, 0x58, 4, 2, 24, 8), note(0, 96, 3, 36), at(0, 0x90, 60, 80), at(9, 60, 0), at(0, 60, 0), endAt(5))
	sysex := body(at(0, 0xF0, 3, 1, 2, 0xF7), at(0, 0xC0, 19), at(0, 0xD0, 3), at(0, 0xE0, 0, 64), metaAt(4, 0x51, 7, 0xA1, 0x20), note(0, 96, 9, 60), metaAt(4, 0x51, 6, 0xA1, 0x20))
	return [][]byte{
		smfBytes(0, 96, one), smfBytes(1, 480, one, sysex), smfBytes(1, 0xE728, sysex), smfBytes(0, 0xE701, one), smfBytes(2, 96, one), []byte("MThd"),
	}
}
