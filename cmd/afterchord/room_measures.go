package main

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"afterchord/acoustics/measure"
	"afterchord/acoustics/octave"
	"afterchord/render/table"
)

// doubt is a reason for which figures are marked, and the bands of each figure that it holds for.
type doubt struct {
	why   string
	bands map[string][]int
}

// figureNames are the columns of the table of measures; T15 is shown where a band has one.
var figureNames = []string{"T20", "T30", "C", "xi", "EDT", "C80", "D50", "Ts"}

// writeMeasures prints the table, the reliability marks and why they are there.
func writeMeasures(w io.Writer, o table.Options, m measure.Result) error {
	var rows [][]string
	var doubts []doubt
	hasT15 := slices.ContainsFunc(m.Bands[:], func(b measure.Band) bool { return b.T15.Reliable })
	for b, hz := range octave.Centres {
		band := m.Bands[b]
		row := []string{plain(hz), fixed(band.RangeDB, 0)}
		for i, x := range []struct {
			f        measure.Figure
			scale    float64
			decimals int
			most     float64 // of a straight decay; 0 where it says nothing of it
		}{{band.T20, 1, 2, 0}, {band.T30, 1, 2, 0}, {band.Curvature, 1, 0, measure.MostCurvature},
			{band.NonLinearity, 1, 1, measure.MostNonLinearity}, {band.EDT, 1, 2, 0}, {band.C80, 1, 1, 0}, {band.D50, 100, 0, 0}, {band.Ts, 1000, 0, 0}} {
			cell := fixed(x.f.Value*x.scale, x.decimals)
			mark := "  "
			if x.most > 0 && math.Abs(x.f.Value) > x.most {
				mark = " ~"
			}
			if !x.f.Reliable {
				if mark == "  " && !math.IsNaN(x.f.Value) {
					mark = " ?"
				}
				doubts = addDoubt(doubts, x.f.Why, figureNames[i], b)
			}
			row = append(row, cell+mark)
		}
		if hasT15 {
			row = append(row, fixed(band.T15.Value, 2)+"  ")
		}
		rows = append(rows, row)
	}
	head := []string{">band, Hz", ">range, dB", ">T20, s  ", ">T30, s  ", ">C, %  ", ">xi, ‰  ", ">EDT, s  ", ">C80, dB  ", ">D50, %  ", ">Ts, ms  "}
	if hasT15 {
		head = append(head, ">T15, s  ")
	}
	if err := table.Grid(w, o, head, rows); err != nil {
		return err
	}
	if m.Clipped {
		if _, err := fmt.Fprintln(w, "? the recording is clipped: record it again at a lower level"); err != nil {
			return err
		}
		doubts = slices.DeleteFunc(doubts, func(d doubt) bool { return strings.Contains(d.why, "clipped") })
	}
	for _, d := range doubts {
		if _, err := fmt.Fprintln(w, o.Text(d.String())); err != nil {
			return err
		}
	}
	for _, d := range m.DecayWarnings() {
		line := fmt.Sprintf("~ no straight line %s: %s; %s", atBands(d.Bands), d.Why, d.Do)
		if _, err := fmt.Fprintln(w, o.Text(line)); err != nil {
			return err
		}
	}
	return nil
}

// atBands is octave bands as "at 63, 125 Hz".
func atBands(bands []int) string {
	if len(bands) == octave.N {
		return "in every band"
	}
	var at []string
	for _, b := range bands {
		at = append(at, plain(octave.Centres[b]))
	}
	return "at " + strings.Join(at, ", ") + " Hz"
}

func addDoubt(doubts []doubt, why, figure string, band int) []doubt {
	i := slices.IndexFunc(doubts, func(d doubt) bool { return d.why == why })
	if i < 0 {
		i = len(doubts)
		doubts = append(doubts, doubt{why, map[string][]int{}})
	}
	doubts[i].bands[figure] = append(doubts[i].bands[figure], band)
	return doubts
}

// String is the doubt as one line: "? T30 at 63, 125 Hz: 41 dB above the noise; needs 45 dB".
func (d doubt) String() string {
	var parts []string
	for i, name := range figureNames {
		bands := d.bands[name]
		if len(bands) == 0 || slices.ContainsFunc(figureNames[:i], func(n string) bool { return slices.Equal(d.bands[n], bands) }) {
			continue // said with an earlier figure of the same bands
		}
		names := name
		for _, n := range figureNames[i+1:] {
			if slices.Equal(d.bands[n], bands) {
				names += ", " + n
			}
		}
		parts = append(parts, names+" "+atBands(bands))
	}
	return "? " + strings.Join(parts, "; ") + ": " + d.why
}
