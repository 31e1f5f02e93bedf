package figures

import (
	"fmt"
	"math"

	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
)

// Room is the figure of a room at a seat: the reverberation time per octave band, and the decay
// curves (Schroeder integration of what [room.Room.Path] gives from the organ's middle) of 125 Hz, 500
// Hz, 2 kHz and 8 kHz.
func Room(r *room.Room, seat room.Seat) (Figure, error) {
	f := Figure{Width: 16 * vg.Centimeter, Height: 17 * vg.Centimeter}
	times, err := reverberationTimes(r)
	if err != nil {
		return Figure{}, err
	}
	curves, err := decayCurves(r, seat)
	if err != nil {
		return Figure{}, err
	}
	f.Panels = []*plot.Plot{times, curves}
	return f, nil
}

func reverberationTimes(r *room.Room) (*plot.Plot, error) {
	p := NewPlot(r.Title+": reverberation time", "octave band, Hz", "T, s")
	var ticks []plot.Tick
	x := make([]float64, octave.N)
	for i, hz := range octave.Centres {
		x[i] = float64(i)
		ticks = append(ticks, plot.Tick{Value: float64(i), Label: fmt.Sprintf("%g", hz)})
	}
	p.X.Tick.Marker = plot.ConstantTicks(ticks)
	p.Y.Min = 0
	name := ""
	if r.Slow != nil {
		name = "first slope"
		if err := AddLine(p, 1, "coupled space", x, r.Slow.RT60[:]); err != nil {
			return nil, err
		}
	}
	if err := AddLine(p, 0, name, x, r.RT60[:]); err != nil {
		return nil, err
	}
	points := make(plotter.XYs, octave.N)
	for i := range points {
		points[i] = plotter.XY{X: x[i], Y: r.RT60[i]}
	}
	marks, err := plotter.NewScatter(points)
	if err != nil {
		return nil, err
	}
	marks.GlyphStyle.Color, marks.GlyphStyle.Radius = Blue, 2
	p.Add(marks)
	p.Y.Max = math.Ceil(p.Y.Max * 1.05)
	return p, nil
}

// decayBands are the octave bands whose decay is drawn.
var decayBands = []int{2, 4, 6, 8}

func decayCurves(r *room.Room, seat room.Seat) (*plot.Plot, error) {
	path := r.OrganPath(seat)
	p := NewPlot(fmt.Sprintf("Decay at %s, %.1f m from the organ", seat.Name, path.DistanceM),
		"time after the sound stops at the listener, s", "level, dB re steady sound")
	const steps = 240
	span := 0.0
	for _, t := range r.RT60 {
		span = max(span, t)
	}
	for i, band := range decayBands {
		var x, y []float64
		total := path.EnergyAfter(band, 0)
		for k := range steps {
			at := span * float64(k) / (steps - 1)
			left := path.Sum(band, func(term room.Term) float64 { return term.Gain * math.Exp(-term.Rate*at) })
			if level := 10 * math.Log10(left/total); level >= -60 {
				x, y = append(x, at), append(y, level)
			}
		}
		if len(x) < 2 {
			continue
		}
		if err := AddLine(p, i, fmt.Sprintf("%g Hz", octave.Centres[band]), x, y); err != nil {
			return nil, err
		}
	}
	p.Y.Min, p.Y.Max, p.X.Min, p.X.Max = -60, 0, 0, span
	p.Legend.Top = true
	return p, nil
}
