package main

import (
	"fmt"
	"math"

	"afterchord/acoustics/impulse"
	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"
	"afterchord/render/figures"
	"afterchord/sim/field"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
)

// levels draws the level of the sound beside the energy model's, in windows of one of its frames.
func levels(l, r []float32, rate int, f *field.Field) ([]byte, error) {
	p := figures.NewPlot("Level at the seat", "s", "dB re 20 µPa")
	step := int(f.StepS * float64(rate))
	var at, heard, modelled []float64
	for i := range f.LevelDB {
		a := i * step
		if a+step > len(l) {
			break
		}
		sum := 1e-12
		for k := a; k < a+step; k++ {
			sum += (float64(l[k])*float64(l[k]) + float64(r[k])*float64(r[k])) / 2 / float64(step)
		}
		at = append(at, (float64(i)+0.5)*f.StepS)
		heard = append(heard, max(0, 10*math.Log10(sum)))
		modelled = append(modelled, max(0, 10*math.Log10(math.Pow(10, float64(f.LevelDB[i])/10)+math.Pow(10, float64(f.ResidueDB[i])/10))))
	}
	p.Legend.Top = false
	if err := figures.AddLine(p, 0, "sound", at, heard); err != nil {
		return nil, err
	}
	if err := figures.AddLine(p, 1, "energy model", at, modelled); err != nil {
		return nil, err
	}
	return svg(p)
}

// decays draws the decay that octave filters measure of a response and says how its T30 stands to the path's.
func decays(resp *impulse.Response, path *room.Path) (picture []byte, table [][4]string, err error) {
	m, err := measure.Response(resp)
	if err != nil {
		return nil, nil, err
	}
	p := figures.NewPlot("Decay in octave bands (Schroeder)", "s", "dB")
	for b, hz := range octave.Centres {
		got, want := m.Bands[b].T30.Value, path.ReverberationT30(b)
		table = append(table, [4]string{fmt.Sprintf("%g Hz", hz), fmt.Sprintf("%.2f s", want), fmt.Sprintf("%.2f s", got), fmt.Sprintf("%+.1f %%", 100*(got/want-1))})
		if b%2 == 1 || b == octave.N-1 {
			var x, y []float64
			for i, db := range m.Bands[b].Decay {
				if db < -70 {
					break
				}
				x, y = append(x, float64(i)*measure.DecayStepS), append(y, db)
			}
			if err := figures.AddLine(p, b/2, fmt.Sprintf("%g Hz", hz), x, y); err != nil {
				return nil, nil, err
			}
		}
	}
	picture, err = svg(p)
	return picture, table, err
}

func svg(p *plot.Plot) ([]byte, error) {
	return figures.Figure{Panels: []*plot.Plot{p}, Width: 24 * vg.Centimeter, Height: 7 * vg.Centimeter}.SVG()
}
