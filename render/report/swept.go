package report

import (
	_ "embed" // the page's template
	"html/template"
	"io"
	"math"

	"afterchord/render/internal/words"
	"afterchord/sim/sweep"
)

//go:embed swept.tmpl
var sweptTemplate string

var sweptView = view("swept", &sweptTemplate)

type sweptPage struct {
	R      *sweep.Result
	CSS    template.CSS
	Policy string
	Grids  []sweptGrid
}

// sweptGrid is the table of one organ.
type sweptGrid struct {
	Organ string
	Tempi []string
	Rows  []sweptRow
	Lines []sweep.PassageLine
}

type sweptRow struct {
	Room            string
	RTS             float64
	Cells           []sweptCell
	Survives, Clean string
	Next            *sweep.Stop
}

// sweptCell is a room at a tempo: how many places, what stops it, and how dark it is.
type sweptCell struct {
	*sweep.Cell
	Heat float64 // share of the strongest tint, percent
}

// tintedFrom is the share of a piece lost, at the least, that the strongest tint of a sweep's table stands for.
const tintedFrom = 0.05

// WriteSweep writes a sweep as one self-contained page.
func WriteSweep(w io.Writer, r *sweep.Result) error {
	p := sweptPage{R: r, CSS: template.CSS(pageCSS + sheetCSS + mendedCSS), Policy: policy()}
	for o := range r.Organs {
		p.Grids = append(p.Grids, grid(r, o))
	}
	return execute(w, sweptView(), p, nil)
}

func grid(r *sweep.Result, organ int) sweptGrid {
	g := sweptGrid{Organ: r.Organs[organ]}
	most := tintedFrom
	for _, c := range r.Cells {
		most = max(most, c.LostShare)
	}
	for i, room := range r.Rooms {
		f := r.Fastest[organ*len(r.Rooms)+i]
		row := sweptRow{Room: room.Name, RTS: room.RTS, Survives: tempoOrNone(f.Survives), Clean: tempoOrNone(f.Clean), Next: f.Next}
		for t := range r.Tempi {
			c := &r.Cells[(organ*len(r.Rooms)+i)*len(r.Tempi)+t]
			row.Cells = append(row.Cells, sweptCell{c, math.Round(100 * c.LostShare / most)})
			if i == 0 {
				g.Tempi = append(g.Tempi, words.Number(c.Crotchets, 0))
			}
		}
		g.Rows = append(g.Rows, row)
	}
	for _, l := range r.Passages {
		if l.Organ == g.Organ {
			g.Lines = append(g.Lines, l)
		}
	}
	return g
}

func tempoOrNone(v float64) string {
	if v == 0 {
		return "none"
	}
	return words.Number(v, 0)
}
