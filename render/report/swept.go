package report

import (
	_ "embed" // the page's template
	"encoding/base64"
	"html/template"
	"io"
	"strconv"

	"afterchord/render/internal/words"
	"afterchord/sim/finding"
	"afterchord/sim/sweep"
)

//go:embed swept.tmpl
var sweptTemplate string

var sweptView = view("swept", &sweptTemplate)

type sweptPage struct {
	R        *sweep.Result
	CSS      template.CSS
	Policy   string
	Pictures []template.URL
	Grids    []sweptGrid
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
	Cells           []string // "2 ■ 3 ▲", or "clean"
	Survives, Clean string
}

// WriteSweep writes a sweep as one self-contained page, with the pictures (SVG) of its organs in their order.
func WriteSweep(w io.Writer, r *sweep.Result, pictures [][]byte) error {
	p := sweptPage{R: r, CSS: template.CSS(pageCSS + sheetCSS + mendedCSS), Policy: policy()}
	for o := range r.Organs {
		if o < len(pictures) {
			p.Pictures = append(p.Pictures, imageURL(pictures[o]))
		}
		p.Grids = append(p.Grids, grid(r, o))
	}
	return execute(w, sweptView(), p)
}

// imageURL puts an SVG picture into a page as an image, in which nothing runs.
func imageURL(svg []byte) template.URL {
	return template.URL("data:image/svg+xml;base64," + base64.StdEncoding.EncodeToString(svg))
}

func grid(r *sweep.Result, organ int) sweptGrid {
	g := sweptGrid{Organ: r.Organs[organ]}
	for i, room := range r.Rooms {
		f := r.Fastest[organ*len(r.Rooms)+i]
		row := sweptRow{Room: room.Name, RTS: room.RTS, Survives: tempoOrNone(f.Survives), Clean: tempoOrNone(f.Clean)}
		for t := range r.Tempi {
			c := &r.Cells[(organ*len(r.Rooms)+i)*len(r.Tempi)+t]
			row.Cells = append(row.Cells, cellText(c))
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

func cellText(c *sweep.Cell) string {
	if c.Clean {
		return "clean"
	}
	return severity(finding.Fail).Shape + " " + strconv.Itoa(c.Findings.Fails) + "  " + severity(finding.Warning).Shape + " " + strconv.Itoa(c.Findings.Warnings)
}

func tempoOrNone(v float64) string {
	if v == 0 {
		return "none"
	}
	return words.Number(v, 0)
}
