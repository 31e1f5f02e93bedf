package figures

import (
	"bytes"
	"fmt"
	"image/color"
	"io"

	"golang.org/x/image/font"
	"gonum.org/v1/plot"
	pfont "gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"
	"gonum.org/v1/plot/vg/vgsvg"
)

// Colours of the common look. The series hues are those of Okabe & Ito ("Color
// Universal Design", 2008), darkened where a thin line on white needs it, so that they stay
// apart for every common kind of colour blindness.
var (
	Ink    = color.NRGBA{0x22, 0x2b, 0x36, 0xff} // text
	Faint  = color.NRGBA{0x6b, 0x76, 0x85, 0xff} // axes, tick labels
	Rule   = color.NRGBA{0xdf, 0xe4, 0xea, 0xff} // grid
	Paper  = color.NRGBA{0xff, 0xff, 0xff, 0xff}
	Blue   = color.NRGBA{0x00, 0x5f, 0xa3, 0xff} // the sound of now
	Orange = color.NRGBA{0xc8, 0x5a, 0x00, 0xff} // what is left over
	Green  = color.NRGBA{0x00, 0x7f, 0x5f, 0xff} // what is heard
	Purple = color.NRGBA{0x96, 0x3b, 0x7d, 0xff} // clarity
	Sky    = color.NRGBA{0x3c, 0x9a, 0xd0, 0xff}
	Gold   = color.NRGBA{0xa8, 0x86, 0x00, 0xff}
)

// series is the order in which lines take their colour and dash.
var series = []struct {
	color  color.NRGBA
	dashes []vg.Length
}{
	{Blue, nil},
	{Orange, []vg.Length{6, 3}},
	{Green, []vg.Length{2, 2}},
	{Purple, []vg.Length{8, 2, 2, 2}},
	{Sky, []vg.Length{4, 1}},
	{Gold, []vg.Length{1, 2}},
}

// LineStyle is the style of the i-th line of a figure, from 0: colour and dash both differ.
func LineStyle(i int) draw.LineStyle {
	s := series[((i%len(series))+len(series))%len(series)]
	return draw.LineStyle{Color: s.color, Width: 1.4, Dashes: s.dashes}
}

// Sans is the typeface of all figures at size points.
func Sans(size vg.Length, bold bool) pfont.Font {
	f := pfont.Font{Typeface: "Liberation", Variant: "Sans", Size: size}
	if bold {
		f.Weight = font.WeightBold
	}
	return f
}

// NewPlot is an empty plot in the common look. Give units in the labels: "level, dB re 20 µPa".
func NewPlot(title, xLabel, yLabel string) *plot.Plot {
	p := plot.New()
	p.BackgroundColor = Paper
	p.Title.Text = title
	p.Title.Padding = 6
	p.Title.TextStyle.Font = Sans(11, true)
	p.Title.TextStyle.Color = Ink
	p.X.Label.Text, p.Y.Label.Text = xLabel, yLabel
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.LineStyle = draw.LineStyle{Color: Faint, Width: 0.6}
		a.Padding = 0
		a.Label.Padding = 3
		a.Label.TextStyle.Font = Sans(9, false)
		a.Label.TextStyle.Color = Ink
		a.Tick.LineStyle = draw.LineStyle{Color: Faint, Width: 0.6}
		a.Tick.Length = 3
		a.Tick.Label.Font = Sans(8, false)
		a.Tick.Label.Color = Faint
	}
	p.Legend.TextStyle.Font = Sans(8.5, false)
	p.Legend.TextStyle.Color = Ink
	p.Legend.Top = true
	p.Legend.ThumbnailWidth = 22
	p.Legend.Padding = 2
	grid := plotter.NewGrid()
	grid.Horizontal = draw.LineStyle{Color: Rule, Width: 0.5}
	grid.Vertical = draw.LineStyle{Color: Rule, Width: 0.5}
	p.Add(grid)
	return p
}

// AddLine adds the points as the i-th line of p (see [LineStyle]) with name in the
// legend; an empty name leaves the legend alone. x and y have the same length and no NaN or Inf.
func AddLine(p *plot.Plot, i int, name string, x, y []float64) error {
	if len(x) != len(y) {
		return fmt.Errorf("figure %q: %d x for %d y", p.Title.Text, len(x), len(y))
	}
	if len(x) == 0 {
		return nil
	}
	pts := make(plotter.XYs, len(x))
	for k := range x {
		pts[k].X, pts[k].Y = x[k], y[k]
	}
	l, err := plotter.NewLine(pts)
	if err != nil {
		return fmt.Errorf("figure %q: %w", p.Title.Text, err)
	}
	l.LineStyle = LineStyle(i)
	p.Add(l)
	if name != "" {
		p.Legend.Add(name, l)
	}
	return nil
}

// Figure is a picture: one plot, or several over one another with their data areas
// in line.
type Figure struct {
	Panels        []*plot.Plot // from the top down
	Shares        []float64    // relative heights of the panels; nil where they are equal
	Width, Height vg.Length    // of the whole; 0 means 16 × 9 cm
}

func (f Figure) size() (w, h vg.Length) {
	w, h = f.Width, f.Height
	if w <= 0 {
		w = 16 * vg.Centimeter
	}
	if h <= 0 {
		h = 9 * vg.Centimeter
	}
	return w, h
}

// SVG is the figure as a standalone SVG file. Text stays text; where the Liberation
// fonts are missing the reader's own sans serif stands in.
func (f Figure) SVG() ([]byte, error) {
	w, h := f.size()
	c := vgsvg.NewWith(vgsvg.UseWH(w, h))
	b, err := f.render(draw.NewCanvas(c, w, h), c)
	return bytes.ReplaceAll(b, []byte("font-family:Liberation Sans;"),
		[]byte("font-family:'Liberation Sans',Arial,Helvetica,sans-serif;")), err
}

// PNG is the figure as a PNG file at 150 dots an inch.
func (f Figure) PNG() ([]byte, error) {
	w, h := f.size()
	c := vgimg.PngCanvas{Canvas: vgimg.NewWith(vgimg.UseWH(w, h), vgimg.UseDPI(150))}
	return f.render(draw.NewCanvas(c, w, h), c)
}

func (f Figure) render(c draw.Canvas, out io.WriterTo) (b []byte, err error) {
	defer func() { // gonum/plot panics on fonts and ranges it cannot draw
		if r := recover(); r != nil {
			b, err = nil, fmt.Errorf("figure cannot be drawn: %v", r)
		}
	}()
	c.SetColor(Paper)
	c.Fill(c.Rectangle.Path())
	c = draw.Crop(c, 6, -10, 6, -6)
	f.draw(c)
	var buf bytes.Buffer
	if _, err := out.WriteTo(&buf); err != nil {
		return nil, fmt.Errorf("figure cannot be written: %w", err)
	}
	return buf.Bytes(), nil
}

// draw lays the panels out from the top down and moves their left and right edges
// into line.
func (f Figure) draw(c draw.Canvas) {
	total := 0.0
	for i := range f.Panels {
		total += f.share(i)
	}
	cells := make([]draw.Canvas, len(f.Panels))
	top := c.Max.Y
	height := c.Max.Y - c.Min.Y
	var left, right vg.Length
	for i, p := range f.Panels {
		cell := c
		cell.Max.Y = top
		cell.Min.Y = top - height*vg.Length(f.share(i)/total)
		top = cell.Min.Y
		cells[i] = cell
		data := p.DataCanvas(cell)
		left = max(left, data.Min.X-cell.Min.X)
		right = max(right, cell.Max.X-data.Max.X)
	}
	for i, p := range f.Panels {
		data := p.DataCanvas(cells[i])
		dl := left - (data.Min.X - cells[i].Min.X)
		dr := right - (cells[i].Max.X - data.Max.X)
		p.Draw(draw.Crop(cells[i], dl, -dr, 0, 0))
	}
}

func (f Figure) share(i int) float64 {
	if i < len(f.Shares) && f.Shares[i] > 0 {
		return f.Shares[i]
	}
	return 1
}
