package field

import "afterchord/acoustics/hearing"

// judge asks the ear about each frame. Frames are handed over in batches so that
// they can be heard on other cores; results keep their order.
type judge struct {
	f    *Field
	work *hearing.Work
	mask []float64
}

func newJudge(f *Field) *judge {
	return &judge{f: f, work: f.Model.NewWork(), mask: make([]float64, f.Model.N())}
}

// frame appends the heard share and the clarity of one frame.
func (j *judge) frame(now, old []float64) {
	share, clarity := float32(1), float32(1)
	for b, v := range old {
		j.mask[b] = v + j.f.Noise[b]
	}
	part, alone := j.f.Model.Partial(now, j.mask, j.work)
	if alone > 1e-3 { // sone: below that there is nothing to hear
		share = float32(min(1, part/alone))
		for b, v := range now {
			j.mask[b] = v + j.f.Noise[b]
		}
		left, _ := j.f.Model.Partial(old, j.mask, j.work)
		clarity = float32(part / (part + left))
		if part+left == 0 {
			clarity = 1
		}
	}
	j.f.HeardShare = append(j.f.HeardShare, share)
	j.f.Clarity = append(j.f.Clarity, clarity)
}

func (j *judge) close() {}
