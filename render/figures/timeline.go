package figures

import (
	"fmt"
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"

	"afterchord/render/internal/words"
	"afterchord/sim/finding"
	"afterchord/sim/proof"
)

// columns is how many points a curve keeps in a still picture (two for each, the least and the
// greatest).
const columns = 900

// Timeline draws a whole piece: its notes by division, the level of what sounds now against
// what is left over, and the heard share and clarity, with the findings as numbered marks
// (a square for a fail, a triangle for a warning, a ring for a note).
func Timeline(d *proof.Document) (Figure, error) {
	t := d.Timeline
	end := math.Max(d.Score.DurationS, t.StepS*float64(len(t.LevelDB)))
	if !(end > 0) || math.IsInf(end, 0) {
		return Figure{}, fmt.Errorf("figure: the piece has no length")
	}
	title := d.Score.Title
	if title == "" {
		title = d.Score.File
	}
	if d.Room.Title != "" {
		title += " in " + d.Room.Title
	}
	roll := NewPlot(title, "", "notes")
	roll.Add(noteStrip{d})
	roll.Y.Min, roll.Y.Max = keyRange(d.Notes)
	roll.Y.Tick.Marker = octaveTicks{}

	level := NewPlot("", "", "level, dB")
	floor, ceiling := levelRange(t.LevelDB, t.ResidueDB)
	for i, c := range []struct {
		name string
		v    []float32
	}{{"sounding now", t.LevelDB}, {"left over", t.ResidueDB}} {
		if err := addPieces(level, i, c.name, thin(curve(c.v, 0, t.StepS)), floor); err != nil {
			return Figure{}, err
		}
	}
	level.Y.Min, level.Y.Max = floor, ceiling+12 // room for marks and legend
	level.Y.Tick.Marker = tens{}
	level.Add(findingMarks{d.Findings})

	share := sharePlot("share")
	share.X.Label.Text = "bar"
	if err := addPieces(share, 2, "heard share", thin(curve(t.HeardShare, 0, t.StepS)), 0); err != nil {
		return Figure{}, err
	}
	if err := addPieces(share, 3, "clarity", thin(curve(t.Clarity, 0, t.StepS)), 0); err != nil {
		return Figure{}, err
	}
	share.Y.Min, share.Y.Max = 0, 1.3 // room for the legend
	panels := []*plot.Plot{roll, level, share}
	for _, p := range panels {
		p.X.Min, p.X.Max = 0, end
		p.X.Tick.Marker = barTicks{d.Bars}
	}
	return Figure{Panels: panels, Shares: []float64{1.1, 1.5, 1}, Width: 18 * vg.Centimeter, Height: 13 * vg.Centimeter}, nil
}

// thin keeps the least and the greatest of each stretch, so that no peak or gap is lost.
func thin(pts plotter.XYs) plotter.XYs {
	if len(pts) <= 2*columns {
		return pts
	}
	out := make(plotter.XYs, 0, 2*columns)
	for c := range columns {
		a, b := c*len(pts)/columns, (c+1)*len(pts)/columns
		lo, hi := a, a
		for i := a + 1; i < b; i++ {
			if pts[i].Y < pts[lo].Y || math.IsNaN(pts[lo].Y) {
				lo = i
			}
			if pts[i].Y > pts[hi].Y || math.IsNaN(pts[hi].Y) {
				hi = i
			}
		}
		out = append(out, pts[min(lo, hi)])
		if lo != hi {
			out = append(out, pts[max(lo, hi)])
		}
	}
	return out
}

func keyRange(notes []proof.NoteInfo) (lo, hi float64) {
	lo, hi = 127, 0
	for _, n := range notes {
		lo, hi = math.Min(lo, float64(n.Key)), math.Max(hi, float64(n.Key))
	}
	if hi < lo {
		return 36, 96
	}
	return lo - 2, hi + 6
}

// noteStrip draws each note as a bar of its length; what is half heard or less is drawn thinner.
type noteStrip struct{ d *proof.Document }

// Plot draws the notes.
func (s noteStrip) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	seen := make([]bool, max(1, len(s.d.Divisions)))
	for _, n := range s.d.Notes {
		style := draw.LineStyle{Color: LineStyle(n.Division).Color, Width: 2.2}
		if n.Share < 0.5 {
			style.Width = 0.8
		}
		c.StrokeLine2(style, x(n.OnS), y(float64(n.Key)), max(x(n.OffS), x(n.OnS)+0.5), y(float64(n.Key)))
		if n.Division >= 0 && n.Division < len(seen) {
			seen[n.Division] = true
		}
	}
	at := c.Min.X + 4
	for i, name := range s.d.Divisions {
		if i >= len(seen) || !seen[i] {
			continue
		}
		text := p.Legend.TextStyle
		text.YAlign = draw.YTop
		text.XAlign = draw.XLeft
		text.Color = LineStyle(i).Color
		c.FillText(text, vg.Point{X: at, Y: c.Max.Y - 1}, name)
		at += text.Width(name) + 10
	}
}

// findingMarks puts a numbered mark at the top of the plot for each finding.
type findingMarks struct{ f []finding.Finding }

// Plot draws the marks.
func (m findingMarks) Plot(c draw.Canvas, p *plot.Plot) {
	x, _ := p.Transforms(&c)
	text := p.Legend.TextStyle
	text.Font = Sans(7, true)
	text.XAlign, text.YAlign = draw.XCenter, draw.YTop
	lastEnd := c.Min.X - 20
	for _, f := range m.f {
		at := x(f.AtS)
		if at < c.Min.X || at > c.Max.X {
			continue
		}
		var shape draw.GlyphDrawer = draw.RingGlyph{}
		switch f.Severity {
		case finding.Fail:
			shape = draw.BoxGlyph{}
		case finding.Warning:
			shape = draw.PyramidGlyph{}
		}
		c.StrokeLine2(draw.LineStyle{Color: Ink, Width: 0.4, Dashes: []vg.Length{1, 2}}, at, c.Min.Y, at, c.Max.Y)
		c.DrawGlyph(draw.GlyphStyle{Color: Ink, Radius: 2.6, Shape: shape}, vg.Point{X: at, Y: c.Max.Y - 4})
		if math.Abs(float64(at-lastEnd)) > 9 {
			c.FillText(text, vg.Point{X: at, Y: c.Max.Y - 8}, strconv.Itoa(f.ID))
			lastEnd = at
		}
	}
}

// barTicks puts bar numbers on the time axis, as many as can be read.
type barTicks struct{ bars []proof.BarInfo }

// Ticks are the bar lines in range.
func (t barTicks) Ticks(lo, hi float64) []plot.Tick {
	var in []proof.BarInfo
	for _, b := range t.bars {
		if b.AtS >= lo-1e-9 && b.AtS <= hi {
			in = append(in, b)
		}
	}
	step := words.BarStep(len(in), 24)
	var out []plot.Tick
	for i, b := range in {
		tick := plot.Tick{Value: b.AtS}
		if b.Number%step == 0 || (step > 1 && b.Number == 1) || (i == 0 && step == 1) {
			tick.Label = strconv.Itoa(b.Number)
		}
		if tick.Label != "" || len(in) <= 120 {
			out = append(out, tick)
		}
	}
	return out
}

// octaveTicks marks the Cs of a keyboard.
type octaveTicks struct{}

// Ticks are the Cs in range, C4 being key 60.
func (octaveTicks) Ticks(lo, hi float64) []plot.Tick {
	var out []plot.Tick
	for k := 0; k <= 127; k += 12 {
		if float64(k) >= lo && float64(k) <= hi {
			out = append(out, plot.Tick{Value: float64(k), Label: "C" + strconv.Itoa(k/12-1)})
		}
	}
	return out
}

// tens marks every 20 dB, with a fine mark at 10.
type tens struct{}

// Ticks are the tens in range.
func (tens) Ticks(lo, hi float64) []plot.Tick {
	var out []plot.Tick
	for v := 10 * math.Ceil(lo/10); v <= hi && len(out) < 40; v += 10 {
		t := plot.Tick{Value: v}
		if math.Mod(v, 20) == 0 {
			t.Label = strconv.Itoa(int(v))
		}
		out = append(out, t)
	}
	return out
}
