package wav

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	gowav "github.com/go-audio/wav"
	"github.com/stretchr/testify/require"
)

func written(t *testing.T, o Options, blocks ...[]float64) (string, *Writer) {
	path := filepath.Join(t.TempDir(), "x.wav")
	w, err := Create(path, o)
	require.NoError(t, err)
	for _, b := range blocks {
		require.NoError(t, w.Write64(b))
	}
	_, err = os.Stat(path)
	require.ErrorIs(t, err, os.ErrNotExist, "no file before Close")
	require.NoError(t, w.Close())
	return path, w
}

// Read back by github.com/go-audio/wav.
func TestReadByAnotherLibrary(t *testing.T) {
	x := []float64{0, 0.5, -0.5, 0.25, 1, -1, 1.5, -1.5, 1.0 / 3, -1e-3}
	for _, c := range []struct {
		format Format
		rate   int
		full   float64
		slack  float64
	}{
		{Int16, 44100, 1 << 15, 1.5}, {Int24, 48000, 1 << 23, 0.5}, {Int24, 192000, 1 << 23, 0.5}, {Float32, 96000, 0, 0},
	} {
		t.Run(fmt.Sprint(c.rate, " ", c.full), func(t *testing.T) {
			for _, rf64 := range []bool{false, true} {
				t.Run(fmt.Sprint(rf64), func(t *testing.T) {
					path, w := written(t, Options{Rate: c.rate, Format: c.format, RF64: rf64, Seed: 1}, x[:4], x[4:])
					f, err := os.Open(path)
					require.NoError(t, err)
					d := gowav.NewDecoder(f)
					buf, err := d.FullPCMBuffer()
					require.NoError(t, err)
					require.NoError(t, f.Close())
					require.Equal(t, c.rate, buf.Format.SampleRate)
					require.Equal(t, 2, buf.Format.NumChannels)
					require.EqualValues(t, 8*c.format.Bytes(), d.BitDepth)
					require.EqualValues(t, int(map[bool]int{true: 3, false: 1}[c.format == Float32]), d.WavAudioFormat)
					require.Len(t, buf.Data, len(x))
					for i, s := range buf.Data {
						if c.format == Float32 {
							require.Equal(t, float32(x[i]), math.Float32frombits(uint32(s)))
							continue
						}
						want := max(-c.full, min(c.full-1, x[i]*c.full))
						require.InDelta(t, want, float64(s), c.slack, "sample %d", i)
					}
					require.EqualValues(t, 5, w.frames)
					if c.format == Int24 {
						require.EqualValues(t, 3, w.clipped) // 1, 1.5, -1.5
					}
				})
			}
		})
	}
}

// Every count in the header is the file's (RIFF WAVE 1.0; sizes exclude the 8 bytes of the chunk's head, odd data is padded).
func TestHeaderCounts(t *testing.T) {
	for _, n := range []int{0, 1, 2, 3} {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			path, _ := written(t, Options{Rate: 8000, Channels: 1, Format: Int24}, make([]float64, n))
			b, err := os.ReadFile(path)
			require.NoError(t, err)
			le := binary.LittleEndian
			require.Equal(t, "RIFF", string(b[:4]))
			require.EqualValues(t, len(b)-8, le.Uint32(b[4:]))
			require.EqualValues(t, 3*n, le.Uint32(b[40:]))
			require.Equal(t, 44+3*n+3*n%2, len(b))
		})
	}
}

// EBU Tech 3306: RF64 with a ds64 chunk directly after the form type, 32-bit counts -1.
func TestRF64Header(t *testing.T) {
	w := &Writer{opt: Options{Rate: 48000, Channels: 2, Format: Int24, RF64: true}}
	w.frames = 1 << 30
	b := w.header()
	le := binary.LittleEndian
	require.Equal(t, "RF64\xff\xff\xff\xffWAVEds64", string(b[:16]))
	require.EqualValues(t, 28, le.Uint32(b[16:]))
	require.EqualValues(t, int64(len(b))-8+6<<30, le.Uint64(b[20:]))
	require.EqualValues(t, int64(6)<<30, le.Uint64(b[28:]))
	require.EqualValues(t, 1<<30, le.Uint64(b[36:]))
	require.EqualValues(t, 0, le.Uint32(b[44:]))
	require.Equal(t, "data\xff\xff\xff\xff", string(b[len(b)-8:]))
	w.frames = 5
	require.Equal(t, len(b), len(w.header()), "the header keeps its length")
	require.True(t, bytes.HasPrefix(w.header()[12:], []byte("JUNK")))
}

func TestTooLargeIsRefusedEarly(t *testing.T) {
	dir := t.TempDir()
	o := Options{Rate: 96000, Format: Float32, Frames: 96000 * 2 * 3600}
	_, err := Create(filepath.Join(dir, "x.wav"), o)
	require.ErrorIs(t, err, ErrTooLarge)
	require.ErrorContains(t, err, "5.15 GiB")
	o.RF64 = true
	w, err := Create(filepath.Join(dir, "x.wav"), o)
	require.NoError(t, err)
	w.Abort()
	w.Abort()
	left, _ := os.ReadDir(dir)
	require.Empty(t, left)
	w, err = Create(filepath.Join(dir, "x.wav"), Options{Rate: 8000})
	require.NoError(t, err)
	w.limit = 11
	require.NoError(t, w.Write64([]float64{0, 0}))
	require.ErrorIs(t, w.Write64([]float64{0, 0}), ErrTooLarge)
	require.ErrorIs(t, w.Close(), ErrTooLarge)
	left, _ = os.ReadDir(dir)
	require.Empty(t, left)
}

func TestRefusals(t *testing.T) {
	dir := t.TempDir()
	for _, o := range []Options{{Rate: 0}, {Rate: -1}, {Rate: 48000, Channels: -1}, {Rate: 48000, Format: 9}} {
		_, err := Create(filepath.Join(dir, "x.wav"), o)
		require.Error(t, err)
	}
	_, err := Create(filepath.Join(dir, "missing", "x.wav"), Options{Rate: 48000})
	require.ErrorContains(t, err, "missing")
	w, err := Create(filepath.Join(dir, "x.wav"), Options{Rate: 48000})
	require.NoError(t, err)
	require.ErrorContains(t, w.Write64([]float64{1}), "whole frames")
	require.ErrorContains(t, w.Write64([]float64{0, 0, 0, math.NaN()}), "sample 1 of frame 1")
	require.Error(t, w.Close())
	for s, want := range map[string]Format{"16": Int16, "24": Int24, "32f": Float32} {
		t.Run(s, func(t *testing.T) {
			f, err := ParseFormat(s)
			require.NoError(t, err)
			require.Equal(t, want, f)
		})
	}
	_, err = ParseFormat("12")
	require.ErrorContains(t, err, "12")
}

// TPDF dither makes the error's mean zero and its power 1/4 step² whatever the signal
// (Lipshitz, Wannamaker & Vanderkooy, J. Audio Eng. Soc. 40 (1992) 355), and the same seed the same bytes.
func TestDither(t *testing.T) {
	for _, level := range []float64{0, 0.1, 0.5, 0.9} {
		t.Run(fmt.Sprint(level), func(t *testing.T) {
			w := &Writer{dither: 7}
			var mean, power float64
			const n = 200000
			for range n {
				e := float64(w.quantise(level+w.triangular(), 1<<15)) - level
				mean += e / n
				power += e * e / n
			}
			require.InDelta(t, 0, mean, 0.005)
			require.InDelta(t, 0.25, power, 0.005)
		})
	}
	a, _ := written(t, Options{Rate: 8000, Format: Int16, Seed: 4}, make([]float64, 1000))
	b, _ := written(t, Options{Rate: 8000, Format: Int16, Seed: 4}, make([]float64, 1000))
	x, _ := os.ReadFile(a)
	y, _ := os.ReadFile(b)
	require.Equal(t, x, y)
}

func BenchmarkWrite(b *testing.B) {
	for _, f := range []Format{Int16, Int24, Float32} {
		b.Run(fmt.Sprintf("%d bytes", f.Bytes()), func(b *testing.B) {
			w, err := Create(filepath.Join(b.TempDir(), "x.wav"), Options{Rate: 48000, Format: f, RF64: true})
			require.NoError(b, err)
			x := make([]float64, 1<<16)
			b.SetBytes(int64(len(x) * f.Bytes()))
			b.ReportAllocs()
			for b.Loop() {
				_ = w.Write64(x)
			}
			w.Abort()
		})
	}
}
