package figures

import (
	"fmt"
	"image/color"
	"math"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"afterchord/sim/finding"
)

// spanTints shade named spans; the name stands over each, so the tint is no more than a help.
var spanTints = map[string]color.NRGBA{
	"covered": {0xc8, 0x5a, 0x00, 0x3c},
	"blurred": {0xc8, 0x5a, 0x00, 0x1a},
}

// Trace draws the picture of one finding: the old sound against the new one in dB over
// time, spans shaded, and below it the share of the new sound that is heard, where the
// trace has one.
func Trace(title string, t finding.Trace) (Figure, error) {
	if len(t.OldDB) == 0 && len(t.NewDB) == 0 {
		return Figure{}, fmt.Errorf("figure %q: the trace is empty", title)
	}
	if !(t.StepS > 0) {
		return Figure{}, fmt.Errorf("figure %q: step of %g s", title, t.StepS)
	}
	p := NewPlot(title, "", "level, dB")
	old, now := curve(t.OldDB, t.FromS, t.StepS), curve(t.NewDB, t.FromS, t.StepS)
	floor, ceiling := levelRange(t.OldDB, t.NewDB)
	if err := addPieces(p, 1, tag(t.OldTag, "the old sound"), old, floor); err != nil {
		return Figure{}, err
	}
	if err := addPieces(p, 0, tag(t.NewTag, "the new sound"), now, floor); err != nil {
		return Figure{}, err
	}
	from, until := t.FromS, t.FromS+t.StepS*float64(max(len(t.OldDB), len(t.NewDB))-1)
	if until <= from {
		until = from + t.StepS
	}
	p.Add(spans{t.Spans})
	p.Y.Min, p.Y.Max = floor, ceiling
	p.Y.Tick.Marker = tens{}
	p.X.Min, p.X.Max = from, until
	if len(t.Share) == 0 {
		p.X.Label.Text = "time from the start, s"
		return Figure{Panels: []*plot.Plot{p}, Height: 7 * vg.Centimeter}, nil
	}
	s := sharePlot("heard share")
	if err := addPieces(s, 2, "", curve(t.Share, t.FromS, t.StepS), 0); err != nil {
		return Figure{}, err
	}
	s.X.Label.Text = "time from the start, s"
	s.X.Min, s.X.Max = from, until
	return Figure{Panels: []*plot.Plot{p, s}, Shares: []float64{2.2, 1}}, nil
}

func sharePlot(label string) *plot.Plot {
	s := NewPlot("", "", label)
	s.Y.Min, s.Y.Max = 0, 1
	s.Y.Tick.Marker = plot.ConstantTicks{{Value: 0, Label: "0"}, {Value: 0.5, Label: "0.5"}, {Value: 1, Label: "1"}}
	return s
}

func tag(s, other string) string {
	if s == "" {
		return other
	}
	return s
}

// curve is a sampled curve as points; samples that are not finite become NaN.
func curve(v []float32, from, step float64) plotter.XYs {
	pts := make(plotter.XYs, len(v))
	for i, x := range v {
		y := float64(x)
		if math.IsInf(y, 0) {
			y = math.NaN()
		}
		pts[i] = plotter.XY{X: from + float64(i)*step, Y: y}
	}
	return pts
}

// addPieces draws the curve as the i-th line of p, held at floor, broken where it has no value.
func addPieces(p *plot.Plot, i int, name string, pts plotter.XYs, floor float64) error {
	for len(pts) > 0 {
		n := 0
		for n < len(pts) && !math.IsNaN(pts[n].Y) {
			pts[n].Y = math.Max(pts[n].Y, floor)
			n++
		}
		if n > 1 {
			l, err := plotter.NewLine(pts[:n])
			if err != nil {
				return fmt.Errorf("figure %q: %w", p.Title.Text, err)
			}
			l.LineStyle = LineStyle(i)
			p.Add(l)
			if name != "" {
				p.Legend.Add(name, l)
				name = ""
			}
		}
		pts = pts[min(len(pts), n+1):]
	}
	return nil
}

// levelRange is the range of dB worth drawing: a little over the highest level, and no
// more than 60 dB down from there.
func levelRange(curves ...[]float32) (floor, ceiling float64) {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, c := range curves {
		for _, v := range c {
			if x := float64(v); !math.IsNaN(x) && !math.IsInf(x, 0) {
				lo, hi = math.Min(lo, x), math.Max(hi, x)
			}
		}
	}
	if hi < lo {
		return 0, 100
	}
	ceiling = 10 * math.Ceil((hi+2)/10)
	floor = math.Max(10*math.Floor(lo/10), ceiling-60)
	return math.Min(floor, ceiling-20), ceiling
}

// spans shades stretches of time over the full height and writes their names at the top.
type spans struct{ s []finding.Span }

// Plot draws the spans.
func (s spans) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	for _, sp := range s.s {
		a, b := max(x(sp.FromS), c.Min.X), min(x(sp.UntilS), c.Max.X)
		if !(b > a) {
			continue
		}
		tint, ok := spanTints[sp.Name]
		if !ok {
			tint = color.NRGBA{0x3c, 0x9a, 0xd0, 0x20}
		}
		c.FillPolygon(tint, []vg.Point{{X: a, Y: c.Min.Y}, {X: b, Y: c.Min.Y}, {X: b, Y: c.Max.Y}, {X: a, Y: c.Max.Y}})
		edge := draw.LineStyle{Color: Orange, Width: 0.5, Dashes: []vg.Length{2, 2}}
		c.StrokeLine2(edge, b, c.Min.Y, b, c.Max.Y)
		style := p.Legend.TextStyle
		style.XAlign, style.YAlign = draw.XLeft, draw.YBottom
		style.Font = Sans(8, false)
		if style.Width(sp.Name) < b-a-4 {
			c.FillText(style, vg.Point{X: a + 2, Y: c.Min.Y + 2}, sp.Name)
		}
	}
}
