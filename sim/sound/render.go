package sound

import (
	"context"
	"errors"

	"afterchord/render/wav"
)

// Render computes the job in order and hands it to sink in blocks of interleaved stereo
// samples, 1 being full scale (Job.FullScaleDB). The block is only valid during the call. progress, if not nil, is
// told the seconds done and the seconds in all. An error of sink or of ctx ends it.
func Render(ctx context.Context, job Job, sink func(block []float32) error, progress func(done, total float64)) (Report, error) {
	if err := job.check(); err != nil {
		return Report{}, err
	}
	return Report{}, errors.New("sound: nothing can be rendered yet")
}

// RenderFile renders the job to a WAV file at path. Full scale is chosen so that the largest
// sample of the whole piece lies at -1 dBFS, and reported. The file appears complete or not at all.
func RenderFile(ctx context.Context, job Job, path string, format wav.Format, progress func(done, total float64)) (Report, error) {
	return Render(ctx, job, nil, progress)
}
