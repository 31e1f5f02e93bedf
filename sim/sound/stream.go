package sound

import (
	"context"
	"io"
	"math"

	"afterchord/acoustics/wav"
)

// RenderStream renders the job as a WAV file to out: the same bytes as [RenderFile], for where there
// is no disk. The sound is gathered in memory (8 bytes a frame) before the first byte is written.
func RenderStream(ctx context.Context, job Job, out io.Writer, format wav.Format, progress func(done, total float64)) (Report, error) {
	if err := job.check(); err != nil {
		return Report{}, err
	}
	var blocks [][]float32
	frames := int64(0)
	rep, err := render(ctx, job, func(l, r []float64) error {
		block := make([]float32, 0, 2*len(l))
		for i := range l {
			block = append(block, float32(l[i]), float32(r[i]))
		}
		blocks = append(blocks, block)
		frames += int64(len(l))
		return nil
	}, progress)
	if err != nil {
		return rep, err
	}
	scale := rep.fullScale()
	w, err := wav.Stream(out, wav.Options{Rate: job.Rate, Format: format, Seed: uint64(job.Organ.Seed), RF64: job.RF64, Frames: frames})
	if err != nil {
		return rep, err
	}
	var samples []float64
	for i, block := range blocks {
		if err := ctx.Err(); err != nil {
			return rep, err
		}
		samples = samples[:0]
		for _, v := range block {
			samples = append(samples, scale*float64(v))
		}
		if err := w.Write64(samples); err != nil {
			return rep, err
		}
		blocks[i] = nil
	}
	return rep, w.Close()
}

// fullScale sets where full scale lies, so that the largest sample is at filePeakDBFS, and gives the factor that takes
// samples there.
func (r *Report) fullScale() float64 {
	if math.IsInf(r.PeakDBFS, -1) {
		r.FullScaleDB = DefaultFullScaleDB
	} else {
		r.FullScaleDB = r.PeakDBFS - filePeakDBFS
		r.PeakDBFS = filePeakDBFS
	}
	return math.Pow(10, -r.FullScaleDB/20)
}
