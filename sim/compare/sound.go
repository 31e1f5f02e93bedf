package compare

import (
	"bufio"
	"context"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"slices"

	"afterchord/acoustics/loudness"
	"afterchord/acoustics/wav"
	"afterchord/sim/sound"
)

// Match says how several sounds are brought to one another.
type Match int

const (
	// SameScale keeps the levels between the sounds as they are in the rooms: one
	// full scale for all, so that the louder is the louder.
	SameScale Match = iota
	// SameLoudness brings all to one programme loudness (ITU-R BS.1770 integrated loudness),
	// so that what is compared is not the level.
	SameLoudness
)

// peakDBFS is the highest that any sample comes, dB re full scale.
const peakDBFS = -1

// Level is what one of the sounds was before and is after matching.
type Level struct {
	sound.Report
	LoudnessLKFS float64 // of the file as written; -Inf for silence
	GainDB       float64 // what was put on it beside the others' common scale
}

// Sounds renders the jobs into WAV files at the paths, matched, with the largest sample of all at
// -1 dBFS. Report.FullScaleDB is the sound pressure of a full-scale sample before GainDB. Files
// appear complete or not at all.
func Sounds(ctx context.Context, jobs []sound.Job, paths []string, format wav.Format, m Match, progress func(done, total float64)) ([]Level, error) {
	if progress == nil {
		progress = func(done, total float64) {}
	}
	out := make([]Level, len(jobs))
	raws := make([]*raw, len(jobs))
	defer func() {
		for _, r := range raws {
			if r != nil {
				r.close()
			}
		}
	}()
	for i, job := range jobs {
		r, err := newRaw(filepath.Dir(paths[i]))
		if err != nil {
			return nil, err
		}
		raws[i] = r
		rep, err := sound.Render(ctx, job, func(block []float32) error {
			return r.add(block)
		}, func(done, total float64) { progress(float64(i)+done/max(total, 1e-9), float64(len(jobs))) })
		if err != nil {
			return nil, err
		}
		out[i] = Level{Report: rep}
	}
	gains, err := matched(ctx, out, raws, m)
	if err != nil {
		return nil, err
	}
	for i, job := range jobs {
		if err := raws[i].write(ctx, paths[i], wav.Options{Rate: job.Rate, Format: format, Seed: uint64(job.Organ.Seed), Frames: raws[i].n / 2}, gains[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// matched is the gain for each sound, dB, and puts it into the levels. Loudness is measured on the sound
// as it will be written, again after each step: the gates of BS.1770 do not scale with the level.
func matched(ctx context.Context, levels []Level, raws []*raw, m Match) ([]float64, error) {
	gains := make([]float64, len(levels))
	room := math.Inf(1) // what each can be raised by before it passes the peak
	for i, r := range raws {
		if r.peak > 0 {
			gains[i] = peakDBFS - 20*math.Log10(r.peak)
			room = math.Min(room, gains[i])
		}
	}
	if m == SameScale && !math.IsInf(room, 1) {
		for i := range gains {
			gains[i] = room
		}
	}
	target := math.Inf(1)
	for i, r := range raws {
		var err error
		if levels[i].LoudnessLKFS, err = r.loudness(ctx, levels[i].Rate, gains[i]); err != nil {
			return nil, err
		}
		if l := levels[i].LoudnessLKFS; !math.IsInf(l, -1) {
			target = math.Min(target, l)
		}
	}
	for i, r := range raws {
		for range 6 {
			over := levels[i].LoudnessLKFS - target
			if m != SameLoudness || !(over > 0.01) {
				break
			}
			gains[i] -= over
			var err error
			if levels[i].LoudnessLKFS, err = r.loudness(ctx, levels[i].Rate, gains[i]); err != nil {
				return nil, err
			}
		}
	}
	least := slices.Min(gains)
	for i := range levels {
		levels[i].GainDB = gains[i] - least
		levels[i].FullScaleDB -= least
		if raws[i].peak > 0 {
			levels[i].PeakDBFS = 20*math.Log10(raws[i].peak) + gains[i]
		}
	}
	return gains, nil
}

// raw gathers float32 samples in an unnamed file.
type raw struct {
	file *os.File
	buf  *bufio.Writer
	n    int64
	peak float64
	b    []byte
}

func newRaw(dir string) (*raw, error) {
	f, err := os.CreateTemp(dir, ".sound-*")
	if err != nil {
		return nil, fmt.Errorf("compare: %w", err)
	}
	_ = os.Remove(f.Name()) // unnamed at once where the system allows it
	return &raw{file: f, buf: bufio.NewWriterSize(f, 1<<18)}, nil
}

func (r *raw) close() {
	r.file.Close()
	os.Remove(r.file.Name()) // where it could not be removed before
}

func (r *raw) add(block []float32) error {
	r.b = r.b[:0]
	for _, x := range block {
		r.peak = math.Max(r.peak, math.Abs(float64(x)))
		r.b = binary.LittleEndian.AppendUint32(r.b, math.Float32bits(x))
	}
	r.n += int64(len(block))
	if _, err := r.buf.Write(r.b); err != nil {
		return fmt.Errorf("compare: %w", err)
	}
	return nil
}

// loudness is the integrated loudness of the samples raised by gain dB, LKFS.
func (r *raw) loudness(ctx context.Context, rate int, gain float64) (float64, error) {
	m := loudness.NewMeter(rate)
	var block []float32
	err := r.each(ctx, gain, func(x []float64) error {
		block = block[:0]
		for _, v := range x {
			block = append(block, float32(v))
		}
		m.Add(block)
		return nil
	})
	return m.Integrated(), err
}

// write puts the samples, raised by gain dB, into a WAV file.
func (r *raw) write(ctx context.Context, path string, o wav.Options, gain float64) error {
	w, err := wav.Create(path, o)
	if err != nil {
		return err
	}
	defer w.Abort()
	if err := r.each(ctx, gain, w.Write64); err != nil {
		return err
	}
	return w.Close()
}

// each hands the samples, raised by gain dB, to do in blocks.
func (r *raw) each(ctx context.Context, gain float64, do func(block []float64) error) error {
	if err := r.buf.Flush(); err != nil {
		return fmt.Errorf("compare: %w", err)
	}
	if _, err := r.file.Seek(0, io.SeekStart); err != nil {
		return fmt.Errorf("compare: %w", err)
	}
	in := bufio.NewReaderSize(r.file, 1<<18)
	bytes, block := make([]byte, 1<<16), make([]float64, 1<<14)
	scale := math.Pow(10, gain/20)
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := io.ReadFull(in, bytes)
		for i := range n / 4 {
			block[i] = scale * float64(math.Float32frombits(binary.LittleEndian.Uint32(bytes[4*i:])))
		}
		if derr := do(block[:n/4]); derr != nil {
			return derr
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("compare: %w", err)
		}
	}
}
