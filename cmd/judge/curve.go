package main

import (
	"fmt"
	"io"
	"strings"
)

// limits are the shares of bars of organ music at which the curve is taken, the strictest first.
var limits = []float64{0.001, 0.002, 0.005, 0.01, 0.015, 0.02, 0.03, 0.05}

// rareRate is how many acoustic findings a minute are as rare as limit among bars of organ music, whatever their severity.
func rareRate(h heard, limit float64) float64 {
	n := 0
	for _, f := range h.found {
		if more, ok := f.Measured["more_than_share"]; ok && 1-more <= limit+1e-9 {
			n++
		}
	}
	return float64(n) / h.minutes
}

// point is one limit's false alarms and recall.
type point struct{ limit, organ, piano, auc, alarmed, recalled float64 }

// alarm is how many findings a minute make a work one that the report calls unusual.
const alarm = 1.0

// curve takes recall against false alarms: of works, how many have more than alarm rare findings a minute.
func curve(got []heard) []point {
	var out []point
	for _, l := range limits {
		var rates [2][]float64
		var above [2]float64
		for _, h := range got {
			k := 0
			if h.piano {
				k = 1
			}
			r := rareRate(h, l)
			rates[k] = append(rates[k], r)
			if r > alarm {
				above[k]++
			}
		}
		out = append(out, point{l, median(rates[0]), median(rates[1]), auc(rates[0], rates[1]),
			above[0] / float64(max(1, len(rates[0]))), above[1] / float64(max(1, len(rates[1])))})
	}
	return out
}

func writeCurve(w io.Writer, points []point) {
	fmt.Fprintf(w, "\nAcoustic findings as rare as one bar in N of organ music, whatever their severity (not faint solos and thin figures, which have no norm):\n\n"+
		"| limit | organ works, a minute | piano works | AUC | organ works with more than %.0f a minute | piano works |\n|---|---|---|---|---|---|\n", alarm)
	for _, p := range points {
		fmt.Fprintf(w, "| 1 in %.0f | %.2f | %.2f | %.2f | %.0f %% | %.0f %% |\n", 1/p.limit, p.organ, p.piano, p.auc, 100*p.alarmed, 100*p.recalled)
	}
}

// drawCurves is a picture of recall against false alarms in each room, as SVG.
func drawCurves(w io.Writer, rooms []string, curves [][]point) error {
	const size, left, top = 300, 50, 20
	dashes := []string{"", "6 4", "2 3"}
	var b strings.Builder
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="12"><title>Recall against false alarms</title>`, size+left+150, size+top+50)
	fmt.Fprintf(&b, `<path d="M%d %dV%dH%d" fill="none" stroke="#555"/><path d="M%d %dL%d %d" stroke="#bbb"/>`, left, top, top+size, left+size, left, top+size, left+size, top)
	for i, room := range rooms {
		fmt.Fprintf(&b, `<path fill="none" stroke="#222" stroke-width="2" stroke-dasharray="%s" d="M%d %d`, dashes[i%len(dashes)], left, top+size)
		for _, p := range curves[i] {
			fmt.Fprintf(&b, "L%.0f %.0f", left+p.alarmed*size, top+size-p.recalled*size)
		}
		fmt.Fprintf(&b, `"/><path stroke="#222" stroke-width="2" stroke-dasharray="%s" d="M%d %dh30"/><text x="%d" y="%d">%s</text>`, dashes[i%len(dashes)], left+size+15, top+20+20*i, left+size+50, top+24+20*i, room)
	}
	fmt.Fprintf(&b, `<text x="%d" y="%d">organ works with more than %.0f a minute</text><text transform="translate(16 %d) rotate(-90)">piano works with more than %.0f a minute</text>`, left+30, top+size+36, alarm, top+size-20, alarm)
	for _, x := range []float64{0, 0.5, 1} {
		fmt.Fprintf(&b, `<text x="%.0f" y="%d" text-anchor="middle">%.0f %%</text><text x="%d" y="%.0f" text-anchor="end">%.0f %%</text>`, left+x*size, top+size+16, 100*x, left-4, top+size-x*size+4, 100*x)
	}
	b.WriteString("</svg>\n")
	_, err := io.WriteString(w, b.String())
	return err
}
