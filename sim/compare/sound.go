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

	"afterchord/render/loudness"
	"afterchord/render/wav"
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
		meter := loudness.NewMeter(job.Rate)
		rep, err := sound.Render(ctx, job, func(block []float32) error {
			meter.Add(block)
			return r.add(block)
		}, func(done, total float64) { progress(float64(i)+done/max(total, 1e-9), float64(len(jobs))) })
		if err != nil {
			return nil, err
		}
		out[i] = Level{Report: rep, LoudnessLKFS: meter.Integrated()}
	}
	gains := matched(out, raws, m)
	for i, job := range jobs {
		if err := raws[i].write(ctx, paths[i], wav.Options{Rate: job.Rate, Format: format, Seed: uint64(job.Organ.Seed), Frames: raws[i].n / 2}, gains[i]); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// matched is the gain for each sound, dB, and puts it into the levels.
func matched(levels []Level, raws []*raw, m Match) []float64 {
	gains := make([]float64, len(levels))
	room := math.Inf(1) // what all can be raised by before one passes the peak
	if m == SameLoudness {
		for i, l := range levels {
			if !math.IsInf(l.LoudnessLKFS, -1) {
				gains[i] = -l.LoudnessLKFS
			}
		}
	}
	for i, r := range raws {
		if r.peak > 0 {
			room = math.Min(room, peakDBFS-20*math.Log10(r.peak)-gains[i])
		}
	}
	if math.IsInf(room, 1) {
		room = 0
	}
	least := math.Inf(1)
	for i := range gains {
		gains[i] += room
		least = math.Min(least, gains[i])
	}
	for i := range levels {
		levels[i].GainDB = gains[i] - least
		levels[i].LoudnessLKFS += gains[i]
		levels[i].FullScaleDB -= least
		if raws[i].peak > 0 {
			levels[i].PeakDBFS = 20*math.Log10(raws[i].peak) + gains[i]
		}
	}
	return gains
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

// write puts the samples, raised by gain dB, into a WAV file.
func (r *raw) write(ctx context.Context, path string, o wav.Options, gain float64) error {
	if err := r.buf.Flush(); err != nil {
		return fmt.Errorf("compare: %w", err)
	}
	if _, err := r.file.Seek(0, io.SeekStart); err != nil {
		return fmt.Errorf("compare: %w", err)
	}
	w, err := wav.Create(path, o)
	if err != nil {
		return err
	}
	defer w.Abort()
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
		if werr := w.Write64(block[:n/4]); werr != nil {
			return werr
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return w.Close()
		}
		if err != nil {
			return fmt.Errorf("compare: %w", err)
		}
	}
}
