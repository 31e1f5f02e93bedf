package figures

import (
	"fmt"
	"image/color"
	"math"
	"strconv"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Heat is a table of values to colour: one row for each room, one column for each tempo, say.
type Heat struct {
	Title            string
	RowName, ColName string // what rows and columns are: "room", "tempo, crotchets a minute"
	Rows, Cols       []string
	Values           [][]float64 // [row][column]; NaN where there is none
	Unit             string      // of the values, for the caption: "s covered"
	Decimals         int
}

// HeatMap draws h, the first row at the top, each cell with its value written in it: darker is more.
func HeatMap(h Heat) (Figure, error) {
	if len(h.Rows) == 0 || len(h.Cols) == 0 {
		return Figure{}, fmt.Errorf("figure %q: no rows or columns", h.Title)
	}
	if len(h.Values) != len(h.Rows) {
		return Figure{}, fmt.Errorf("figure %q: %d rows of values for %d names", h.Title, len(h.Values), len(h.Rows))
	}
	for i, row := range h.Values {
		if len(row) != len(h.Cols) {
			return Figure{}, fmt.Errorf("figure %q: row %s has %d values for %d columns", h.Title, h.Rows[i], len(row), len(h.Cols))
		}
	}
	title := h.Title
	if h.Unit != "" {
		title += " (" + h.Unit + ")"
	}
	p := NewPlot(title, h.ColName, h.RowName)
	p.X.Min, p.X.Max = -0.5, float64(len(h.Cols))-0.5
	p.Y.Min, p.Y.Max = -0.5, float64(len(h.Rows))-0.5
	p.X.Tick.Marker, p.Y.Tick.Marker = names(h.Cols, false), names(h.Rows, true)
	p.X.Tick.Length, p.Y.Tick.Length = 0, 0
	p.Add(heatCells{h})
	height := vg.Length(len(h.Rows))*0.95*vg.Centimeter + 2.4*vg.Centimeter
	width := vg.Length(len(h.Cols))*1.7*vg.Centimeter + 5*vg.Centimeter
	return Figure{Panels: []*plot.Plot{p}, Width: max(width, 9*vg.Centimeter), Height: max(height, 4.5*vg.Centimeter)}, nil
}

func names(s []string, down bool) plot.ConstantTicks {
	out := make(plot.ConstantTicks, len(s))
	for i, n := range s {
		at := i
		if down {
			at = len(s) - 1 - i
		}
		out[i] = plot.Tick{Value: float64(at), Label: n}
	}
	return out
}

type heatCells struct{ h Heat }

// Plot draws the cells.
func (k heatCells) Plot(c draw.Canvas, p *plot.Plot) {
	x, y := p.Transforms(&c)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, row := range k.h.Values {
		for _, v := range row {
			if finite(v) {
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
		}
	}
	lo = math.Min(lo, 0) // nothing is the lightest
	text := p.Legend.TextStyle
	text.Font = Sans(9, false)
	text.XAlign, text.YAlign = draw.XCenter, draw.YCenter
	for r, row := range k.h.Values {
		cy := float64(len(k.h.Rows) - 1 - r)
		for col, v := range row {
			share, label := 0.0, "–"
			if finite(v) {
				label = strconv.FormatFloat(v, 'f', k.h.Decimals, 64)
				if hi > lo {
					share = (v - lo) / (hi - lo)
				}
			}
			x0, x1 := x(float64(col)-0.5)+0.7, x(float64(col)+0.5)-0.7
			y0, y1 := y(cy-0.5)+0.7, y(cy+0.5)-0.7
			fill := Heated(share)
			c.FillPolygon(fill, []vg.Point{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}})
			text.Color = Ink
			if share > 0.55 {
				text.Color = Paper
			}
			c.FillText(text, vg.Point{X: (x0 + x1) / 2, Y: (y0 + y1) / 2}, label)
		}
	}
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Heated is the colour of a share from 0 (pale) to 1 (dark blue). Its lightness falls
// throughout, so that it reads in grey and for every kind of colour vision.
func Heated(share float64) color.NRGBA {
	if !finite(share) {
		share = 0
	}
	share = math.Min(1, math.Max(0, share))
	stops := []color.NRGBA{{0xf2, 0xf5, 0xf8, 0xff}, {0xa9, 0xcd, 0xe6, 0xff}, {0x3c, 0x8a, 0xc0, 0xff}, {0x0b, 0x3c, 0x6d, 0xff}}
	at := share * float64(len(stops)-1)
	i := min(len(stops)-2, int(at))
	f := at - float64(i)
	mix := func(a, b uint8) uint8 { return uint8(math.Round(float64(a) + f*(float64(b)-float64(a)))) }
	a, b := stops[i], stops[i+1]
	return color.NRGBA{mix(a.R, b.R), mix(a.G, b.G), mix(a.B, b.B), 0xff}
}
