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
	"afterchord/acoustics/parallel"
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
	// ScaleAlone is SameScale for those whom the loudness does not interest: it is not measured, and LoudnessLKFS is NaN.
	ScaleAlone
)

// peakDBFS is the highest that any sample comes, dB re full scale.
const peakDBFS = -1

// Level is what one of the sounds was before and is after matching.
type Level struct {
	sound.Report
	LoudnessLKFS float64 // of the file as written; -Inf for silence, NaN where it was not measured
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
	jobs = slices.Clone(jobs)
	for i := range jobs {
		if err := shareResponses(ctx, jobs, i); err != nil {
			return nil, err
		}
		job := jobs[i]
		r, err := newRaw(filepath.Dir(paths[i]))
		if err != nil {
			return nil, err
		}
		raws[i] = r
		rep, err := sound.Render(ctx, job, r.add, func(done, total float64) { progress(float64(i)+done/max(total, 1e-9), float64(len(jobs))) })
		if err != nil {
			return nil, err
		}
		out[i] = Level{Report: rep}
	}
	gains, err := matched(ctx, out, raws, m)
	if err != nil {
		return nil, err
	}
	if err := eachAtOnce(raws, func(i int, r *raw) error {
		o := wav.Options{Rate: jobs[i].Rate, Format: format, Seed: uint64(jobs[i].Organ.Seed), Frames: r.n / 2}
		return r.write(ctx, paths[i], o, gains[i])
	}); err != nil {
		return nil, err
	}
	return out, nil
}

// shareResponses makes the responses of job i for it and those after it that are heard in the same place; it does nothing where there is
// none, or where job i has them.
func shareResponses(ctx context.Context, jobs []sound.Job, i int) error {
	same := func(j sound.Job) bool {
		k := jobs[i]
		return j.Organ == k.Organ && j.Room == k.Room && j.Seat == k.Seat && j.Rate == k.Rate && j.Dry == k.Dry && j.Ears == k.Ears
	}
	if jobs[i].Responses != nil || !slices.ContainsFunc(jobs[i+1:], same) {
		return nil
	}
	made, err := sound.NewResponses(ctx, jobs[i])
	if err != nil {
		return err
	}
	for k := i; k < len(jobs); k++ {
		if same(jobs[k]) {
			jobs[k].Responses = made
		}
	}
	return nil
}

// eachAtOnce does something to every sound, all at the same time, and returns the first error of their order.
func eachAtOnce(raws []*raw, do func(i int, r *raw) error) error {
	errs := make([]error, len(raws))
	parallel.Do(0, len(raws), func(i int) { errs[i] = do(i, raws[i]) })
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
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
	if m != SameLoudness && !math.IsInf(room, 1) {
		for i := range gains {
			gains[i] = room
		}
	}
	measure := func(i int, r *raw) (err error) {
		levels[i].LoudnessLKFS = math.NaN()
		if m != ScaleAlone {
			levels[i].LoudnessLKFS, err = r.loudness(ctx, levels[i].Rate, gains[i])
		}
		return err
	}
	if err := eachAtOnce(raws, measure); err != nil {
		return nil, err
	}
	target := math.Inf(1)
	for i := range levels {
		if l := levels[i].LoudnessLKFS; !math.IsInf(l, -1) {
			target = math.Min(target, l)
		}
	}
	if err := eachAtOnce(raws, func(i int, r *raw) error {
		for range 6 {
			over := levels[i].LoudnessLKFS - target
			if m != SameLoudness || !(over > 0.01) {
				break
			}
			gains[i] -= over
			if err := measure(i, r); err != nil {
				return err
			}
		}
		return nil
	}); err != nil {
		return nil, err
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
	r.b = slices.Grow(r.b[:0], 4*len(block))[:4*len(block)]
	const sign = 1 << 31
	peak := math.Float32bits(float32(r.peak)) // without their sign the bits of numbers stand in the order of their size
	for i, x := range block {
		bits := math.Float32bits(x)
		peak = max(peak, bits&^sign)
		binary.LittleEndian.PutUint32(r.b[4*i:], bits)
	}
	r.peak = float64(math.Float32frombits(peak))
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
