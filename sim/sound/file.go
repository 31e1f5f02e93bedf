package sound

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

	"afterchord/acoustics/wav"
)

// filePeakDBFS is where RenderFile puts the largest sample of the piece.
const filePeakDBFS = -1

// RenderFile renders the job to a WAV file at path. Full scale is chosen so that the largest
// sample of the whole piece lies at -1 dBFS, and reported. The file appears complete or not at all: the
// sound is gathered in an unnamed file beside it (8 bytes a frame), then scaled into place.
func RenderFile(ctx context.Context, job Job, path string, format wav.Format, progress func(done, total float64)) (Report, error) {
	if err := job.check(); err != nil {
		return Report{}, err
	}
	o := wav.Options{Rate: job.Rate, Format: format, Seed: uint64(job.Organ.Seed), RF64: job.RF64, Frames: job.leastFrames()}
	w, err := wav.Create(path, o)
	if err != nil {
		return Report{}, err
	}
	defer w.Abort()
	temp, err := os.CreateTemp(filepath.Dir(path), ".sound-*")
	if err != nil {
		return Report{}, fmt.Errorf("sound: %w", err)
	}
	defer os.Remove(temp.Name()) // where the next line cannot
	defer temp.Close()
	_ = os.Remove(temp.Name()) // unnamed at once where the system allows it: nothing stays after a crash
	buf := bufio.NewWriterSize(temp, 1<<18)
	var bytes []byte
	rep, err := render(ctx, job, func(l, r []float64) error {
		bytes = bytes[:0]
		for i := range l {
			bytes = binary.LittleEndian.AppendUint32(bytes, math.Float32bits(float32(l[i])))
			bytes = binary.LittleEndian.AppendUint32(bytes, math.Float32bits(float32(r[i])))
		}
		if _, err := buf.Write(bytes); err != nil {
			return fmt.Errorf("sound: %w", err)
		}
		return nil
	}, progress)
	if err != nil {
		return rep, err
	}
	if err := buf.Flush(); err != nil {
		return rep, fmt.Errorf("sound: %w", err)
	}
	if err := copyScaled(ctx, w, temp, rep.fullScale()); err != nil {
		return rep, err
	}
	return rep, w.Close()
}

// leastFrames is how long the sound is without its tail.
func (j *Job) leastFrames() int64 {
	last := 0.0
	for _, e := range j.Events {
		last = math.Max(last, e.OffS)
	}
	return int64(last * float64(j.Rate))
}

// copyScaled appends the float32 samples of temp, times scale, to w.
func copyScaled(ctx context.Context, w *wav.Writer, temp *os.File, scale float64) error {
	if _, err := temp.Seek(0, io.SeekStart); err != nil {
		return fmt.Errorf("sound: %w", err)
	}
	raw, samples := make([]byte, 1<<18), make([]float64, 1<<16)
	for {
		if err := ctx.Err(); err != nil {
			return err
		}
		n, err := io.ReadFull(temp, raw)
		for i := range n / 4 {
			samples[i] = scale * float64(math.Float32frombits(binary.LittleEndian.Uint32(raw[4*i:])))
		}
		if werr := w.Write64(samples[:n/4]); werr != nil {
			return werr
		}
		if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
			return nil
		}
		if err != nil {
			return fmt.Errorf("sound: %w", err)
		}
	}
}
