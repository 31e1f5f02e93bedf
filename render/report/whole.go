package report

import (
	"fmt"
	"math"

	"afterchord/sim/proof"
)

// wholePicture is how much of each bar's harmony blurs, on the band of the repertoire.
type wholePicture struct {
	Line         string
	Share, Usual string // paths
	Works        int
	Top          float64 // of the picture, percent
	Alt          string
}

func newWholePicture(d *proof.Document) *wholePicture {
	w := d.Whole
	if w == nil || len(w.Bars) == 0 || !(d.Score.DurationS > 0) || !isFinite(d.Score.DurationS) {
		return nil
	}
	const columns = 600
	step := d.Score.DurationS / columns
	share, usual := make([]float32, columns+1), make([]float32, columns+1)
	bar := -1
	for i := range share {
		for bar+1 < len(w.Bars) && w.Bars[bar+1].AtS <= float64(i)*step {
			bar++
		}
		if bar >= 0 {
			share[i] = float32(w.Bars[bar].Share)
		}
		usual[i] = float32(w.BarHigh)
	}
	high := 1.3 * w.BarHigh
	for _, b := range w.Bars {
		high = max(high, 1.1*b.Share)
	}
	high = math.Ceil(10*min(1, max(0.1, high))) / 10
	s := scale{from: 0, until: d.Score.DurationS, low: 0, high: high}
	return &wholePicture{Line: w.Line, Top: math.Round(100 * high), Works: w.Works, Share: s.path(share, 0, step, columns, false), Usual: s.path(usual, 0, step, columns, true),
		Alt: fmt.Sprintf("Blurred share of the harmony, bar by bar, over the piece; organ music reaches %.0f %% in nine bars of ten.", 100*w.BarHigh)}
}
