package figures

import (
	"fmt"

	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/acoustics/room"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/vg"
)

// MeasuredRoom is the figure of a room with what was measured in it: the reverberation time per octave band,
// and the decays of 125 Hz, 500 Hz, 2 kHz and 8 kHz as the recording has them, down to where the noise
// begins. A decay that is no straight line is named so.
func MeasuredRoom(r *room.Room, m measure.Result) (Figure, error) {
	times, err := reverberationTimes(r)
	if err != nil {
		return Figure{}, err
	}
	p := NewPlot("Measured decay (backward integration)", "time after the onset, s", "level, dB re the start")
	for i, band := range decayBands {
		b := m.Bands[band]
		var x, y []float64
		for k, db := range b.Decay {
			if db < max(-60, -b.RangeDB) {
				break
			}
			x, y = append(x, float64(k)*measure.DecayStepS), append(y, db)
		}
		if len(x) < 2 {
			continue
		}
		name := fmt.Sprintf("%g Hz", octave.Centres[band])
		if b.Bend() != measure.Straight {
			name += ", not straight"
		}
		if err := AddLine(p, i, name, x, y); err != nil {
			return Figure{}, err
		}
	}
	p.Y.Min, p.Y.Max, p.X.Min = -60, 0, 0
	p.Legend.Top = true
	return Figure{Width: 16 * vg.Centimeter, Height: 17 * vg.Centimeter, Panels: []*plot.Plot{times, p}}, nil
}
