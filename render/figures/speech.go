package figures

import (
	"fmt"
	"image/color"
	"math"
	"slices"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"

	"afterchord/voicing"
)

// Speech draws how soon each stop of a division speaks along the keyboard: time from the pallet's
// opening until the pipe is within 1 dB of steady ([voicing.SpokenShare]), ms on a logarithmic scale, against the key.
// Each family has a panel, all on the same scale. The action's delay, the same for all, is named in the
// title and not in the curves.
func Speech(o *voicing.Organ, division int) (Figure, error) {
	curves := voicing.SpeechCurve(o, division)
	if len(curves) == 0 {
		return Figure{}, fmt.Errorf("figure: the division has no pipes of its own")
	}
	families := voicing.Families()
	panels := make([]speechKind, len(families)+1)
	for i, family := range families {
		panels[i] = speechKind{name: family.Plural(), colour: family.Colour()}
	}
	panels[len(families)] = speechKind{name: "mixtures", colour: Ink}
	lo, hi := math.Inf(1), 0.0
	for _, c := range curves {
		i := slices.Index(families, c.Stop.Family)
		if c.Stop.Mixture() {
			i = len(families)
		}
		panels[i].curves = append(panels[i].curves, c)
		for _, s := range c.SpeakS {
			lo, hi = math.Min(lo, 1000*s), math.Max(hi, 1000*s)
		}
	}
	name := o.Divisions[division].Name
	title := fmt.Sprintf("%s: time to speak (the action's %.0f ms come before)", name, 1000*curves[0].ActionS)
	var f Figure
	for _, panel := range panels {
		if len(panel.curves) == 0 {
			continue
		}
		p, err := speechPanel(title, panel, &o.Divisions[division])
		if err != nil {
			return Figure{}, err
		}
		p.Y.Min, p.Y.Max = lo*0.8, hi*1.25
		p.Y.Tick.Marker = plot.ConstantTicks(decadeTicks(p.Y.Min, p.Y.Max))
		f.Panels = append(f.Panels, p)
		f.Shares = append(f.Shares, 1)
		title = ""
	}
	// The title above the first panel and the label below the last take room of their own.
	f.Shares[0] += 0.17
	f.Shares[len(f.Shares)-1] += 0.12
	f.Panels[len(f.Panels)-1].X.Label.Text = "key"
	f.Width = 17 * vg.Centimeter
	f.Height = vg.Length(1.5+3.6*float64(len(f.Panels))) * vg.Centimeter
	return f, nil
}

// speechKind is the stops of one panel.
type speechKind struct {
	name   string
	colour color.NRGBA
	curves []voicing.StopCurve
}

func speechPanel(title string, kind speechKind, div *voicing.Division) (*plot.Plot, error) {
	p := NewPlot(title, "", kind.name+", ms")
	p.Y.Label.TextStyle.Color = kind.colour
	p.Y.Scale = plot.LogScale{}
	p.X.Tick.Marker = plot.ConstantTicks(cTicks(div.LowKey, div.HighKey))
	for i, c := range kind.curves {
		x, y := make([]float64, len(c.Keys)), make([]float64, len(c.Keys))
		for k := range c.Keys {
			x[k], y[k] = float64(c.Keys[k]), 1000*c.SpeakS[k]
		}
		if err := AddLine(p, i, c.Stop.Name, x, y); err != nil {
			return nil, err
		}
	}
	p.X.Min = float64(div.LowKey)
	// The legend stands in a margin of its own to the right of the last key.
	span := float64(div.HighKey - div.LowKey)
	p.X.Max = float64(div.HighKey) + 0.42*span
	return p, nil
}

// decadeTicks marks 1, 2, 5 of each decade that lie from lo to hi, ms. (A tick outside would shrink the panel.)
func decadeTicks(lo, hi float64) []plot.Tick {
	var t []plot.Tick
	for d := 1.0; d < 1e4; d *= 10 {
		for _, m := range []float64{1, 2, 5} {
			if v := d * m; v >= lo && v <= hi {
				t = append(t, plot.Tick{Value: v, Label: fmt.Sprintf("%g", v)})
			}
		}
	}
	return t
}

// cTicks marks every C of the keyboard by name.
func cTicks(low, high int) []plot.Tick {
	var t []plot.Tick
	for k := (low + 11) / 12 * 12; k <= high; k += 12 {
		t = append(t, plot.Tick{Value: float64(k), Label: voicing.KeyText(k)})
	}
	return t
}
