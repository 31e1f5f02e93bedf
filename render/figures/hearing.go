package figures

import (
	"fmt"
	"math"

	"afterchord/acoustics/hearing"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
)

// Hearing is the figure that shows how the model of hearing stands to its sources:
// loudness of a 1 kHz tone against ISO 532-2:2017, Annex B.1.1; excitation patterns of a
// 1 kHz tone by level; and the partial loudness of a 1 kHz tone in noise.
func Hearing() (Figure, error) {
	f := Figure{Width: 16 * vg.Centimeter, Height: 27 * vg.Centimeter}
	for _, draw := range []func() (*plot.Plot, error){loudnessGrowth, excitationPatterns, partialGrowth} {
		p, err := draw()
		if err != nil {
			return Figure{}, err
		}
		f.Panels = append(f.Panels, p)
	}
	return f, nil
}

func tone(hz, db float64) []hearing.Component {
	return []hearing.Component{{Hz: hz, LevelDB: db}}
}

func sonePlot(title, x string) *plot.Plot {
	p := NewPlot(title, x, "loudness, sone")
	p.Y.Scale, p.Y.Tick.Marker = plot.LogScale{}, plot.LogTicks{Prec: -1}
	p.Legend.Left = true
	return p
}

func loudnessGrowth() (*plot.Plot, error) {
	p := sonePlot("Loudness of a 1 kHz tone in a free field", "level of the tone, dB re 20 µPa")
	ear := hearing.New(hearing.Options{Field: hearing.Free})
	work, power := ear.NewWork(), make([]float64, ear.N())
	var level, exact, banded []float64
	for db := 5.0; db <= 100; db++ {
		clear(power)
		ear.Add(power, 1000, math.Pow(10, db/10))
		level = append(level, db)
		exact = append(exact, hearing.LoudnessOf(tone(1000, db), hearing.Free))
		banded = append(banded, ear.Loudness(power, work))
	}
	if err := AddLine(p, 0, "from components", level, exact); err != nil {
		return nil, err
	}
	if err := AddLine(p, 1, "from bands half a Cam apart", level, banded); err != nil {
		return nil, err
	}
	standard, err := plotter.NewScatter(plotter.XYs{{X: 10, Y: 0.03}, {X: 20, Y: 0.14}, {X: 30, Y: 0.43},
		{X: 40, Y: 1}, {X: 50, Y: 2.1}, {X: 60, Y: 4.1}, {X: 70, Y: 8.1}, {X: 80, Y: 15.8}})
	if err != nil {
		return nil, fmt.Errorf("figure %q: %w", p.Title.Text, err)
	}
	standard.GlyphStyle = draw.GlyphStyle{Shape: draw.RingGlyph{}, Color: Ink, Radius: 3.5}
	p.Add(standard)
	p.Legend.Add("ISO 532-2:2017, Annex B.1.1", standard)
	return p, nil
}

func excitationPatterns() (*plot.Plot, error) {
	p := NewPlot("Excitation by a 1 kHz tone in a free field", "ERB number, Cam", "excitation level, dB")
	for i, db := range []float64{100, 80, 60, 40, 20} {
		cam, level := hearing.ExcitationOf(tone(1000, db), hearing.Free)
		for k := range level {
			level[k] = max(-10, level[k])
		}
		if err := AddLine(p, i, fmt.Sprintf("%g dB", db), cam, level); err != nil {
			return nil, err
		}
	}
	p.Y.Min, p.Y.Max = -10, 110
	return p, nil
}

func partialGrowth() (*plot.Plot, error) {
	p := sonePlot("Partial loudness of a 1 kHz tone in noise, 0.3 to 3 kHz", "level of the tone, dB re 20 µPa")
	for i, density := range []float64{math.Inf(-1), 0, 20, 40} {
		legend := "in quiet"
		var noise []hearing.Component
		if !math.IsInf(density, 0) {
			legend = fmt.Sprintf("noise of %g dB in each hertz", density)
			for hz := 300.0; hz <= 3000; hz += 10 {
				noise = append(noise, hearing.Component{Hz: hz, LevelDB: density + 10})
			}
		}
		var level, sone []float64
		for db := 4.0; db <= 100; db++ {
			if n, _ := hearing.PartialOf(tone(1000, db), noise, hearing.Free); n > 0.01 {
				level, sone = append(level, db), append(sone, n)
			}
		}
		if err := AddLine(p, i, legend, level, sone); err != nil {
			return nil, err
		}
	}
	return p, nil
}
