package report

import (
	"fmt"
	"math"
	"strconv"

	"afterchord/sim/proof"
)

// WholePicture is how much of each bar's harmonies blurs, on the band of the repertoire, as the report and the desk draw it.
type WholePicture struct {
	Line    string `json:"line"`              // what the room does to the piece, in words
	ViewBox string `json:"view_box"`          // of the paths
	Share   string `json:"share,omitempty"`   // path: the blurred share of the bars over the piece; empty where there are too few
	Usual   string `json:"usual,omitempty"`   // path, closed: what eight bars in ten of organ music have
	Caption string `json:"caption,omitempty"` // what is drawn
	Alt     string `json:"alt,omitempty"`     // the same for those who do not see it
}

// NewWholePicture draws what the room does to the harmony of the whole piece; nil where there are too few changes of harmony to say anything.
func NewWholePicture(d *proof.Document) *WholePicture {
	w := d.Whole
	if w == nil {
		return nil
	}
	p := &WholePicture{Line: w.Line, ViewBox: fmt.Sprintf("0 0 %d %d", int(unitsX), int(unitsY))}
	if len(w.Bars) < 2 || !(d.Score.DurationS > 0) || !isFinite(d.Score.DurationS) {
		return p
	}
	high := 1.3 * w.BarHigh
	for _, b := range w.Bars {
		high = max(high, 1.1*b.Share)
	}
	high = math.Ceil(10*min(1, max(0.1, high))) / 10
	s := scale{from: 0, until: d.Score.DurationS, low: 0, high: high}
	path := appendPoint(nil, 'M', s.x(w.Bars[0].AtS), s.y(w.Bars[0].Share))
	for _, b := range w.Bars[1:] {
		path = strconv.AppendInt(append(path, 'H'), int64(s.x(b.AtS)), 10)
		path = strconv.AppendInt(append(path, 'V'), int64(s.y(b.Share)), 10)
	}
	p.Share = fmt.Sprintf("%sH%d", path, int(unitsX))
	p.Usual = fmt.Sprintf("M0 %dH%dV%dH0Z", s.y(w.BarLow), int(unitsX), s.y(w.BarHigh))
	p.Caption = fmt.Sprintf("Share of each bar's harmonies that is blurred, on the band of eight bars in ten of %d works of organ music in such a room; the picture ends at %.0f %%.", w.Works, 100*high)
	p.Alt = fmt.Sprintf("Blurred share of the harmony, bar by bar, over the piece; organ music reaches %.0f %% in nine bars of ten.", 100*w.BarHigh)
	return p
}
