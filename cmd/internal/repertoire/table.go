package repertoire

import (
	"fmt"
	"io"
	"maps"
	"math"
	"slices"

	"afterchord/sim/finding"
	"afterchord/sim/score"
	"afterchord/voicing"
)

// levels are the shares of bars at which the table has a value.
var levels = []float64{0, 0.5, 0.75, 0.9, 0.95, 0.97, 0.98, 0.99, 0.995, 0.998}

// Table makes the norms of all playings but those of what a composer wrote ("" for all).
func Table(got []Playing, but string) *finding.Norms {
	n := &finding.Norms{RTs: rts, Levels: levels, Bar: map[finding.Measure][][]float64{}, Speech: map[string][]float64{}}
	for _, t := range got {
		if t.composer == but {
			continue
		}
		if !slices.Contains(n.Works, t.work) {
			n.Works = append(n.Works, t.work)
		}
		if t.rt == 0 {
			n.Bars += t.bars
		}
	}
	for _, m := range finding.Measures {
		if m == finding.MeasureUneven {
			continue
		}
		rows := make([][]float64, len(rts))
		for r := range rts {
			rows[r] = quantiles(got, m, func(t Playing) bool { return t.rt == r && t.composer != but })
		}
		n.Bar[m] = smooth(rows)
	}
	// Soft stops speak slowly, and nobody draws them alone for a toccata: they must not set the norm for one.
	for _, organ := range append(voicing.BuiltIns(), finding.AnyOrgan) {
		n.Speech[organ] = smooth([][]float64{quantiles(got, finding.MeasureUneven, func(t Playing) bool {
			return t.dynamic == score.MF && t.composer != but && (t.organ == organ || organ == finding.AnyOrgan)
		})})[0]
	}
	shares, bars := make([][]float64, len(rts)), make([][]float64, len(rts))
	for r := range rts {
		var share, blur []float64
		for _, t := range got {
			if t.rt != r || t.composer == but || len(t.blurs) == 0 {
				continue
			}
			share = append(share, finding.BlurredShare(t.blurs, finding.Defaults().BlurPart, 1, 1))
			blur = append(blur, t.barBlurs...)
		}
		slices.Sort(share)
		slices.Sort(blur)
		for _, l := range []float64{0.1, 0.5, 0.9} {
			shares[r] = append(shares[r], quantile(share, l))
			bars[r] = append(bars[r], quantile(blur, l))
		}
	}
	for r, row := range smooth(shares) {
		n.Piece.Shares = append(n.Piece.Shares, [3]float64(row))
		n.Piece.Bars = append(n.Piece.Bars, [3]float64(smooth(bars)[r]))
	}
	return n
}

// quantiles of the worst value of each bar, at levels, over the playings that belong.
func quantiles(got []Playing, m finding.Measure, belongs func(Playing) bool) []float64 {
	var values []float64
	for _, t := range got {
		switch {
		case !belongs(t):
		case m == finding.MeasureSolo && t.dynamic == score.FF: // nobody plays a solo with the manuals coupled
		case m.Own():
			values = slices.AppendSeq(values, maps.Values(t.worst[m]))
		default:
			for bar := range t.bars {
				values = append(values, t.worst[m][bar])
			}
		}
	}
	slices.Sort(values)
	out := make([]float64, 0, len(levels))
	for _, l := range levels {
		out = append(out, quantile(values, l))
	}
	return out
}

// quantile of sorted values, linear between them (Hyndman & Fan 1996, type 7; from memory).
func quantile(sorted []float64, q float64) float64 {
	if len(sorted) == 0 {
		return 0
	}
	x := q * float64(len(sorted)-1)
	i := min(len(sorted)-2, int(x))
	if i < 0 {
		return sorted[0]
	}
	return sorted[i] + (x-float64(i))*(sorted[i+1]-sorted[i])
}

// smooth takes each row as half itself and a quarter of each neighbour, so that the table does not jump with
// the reverberation time, and keeps it rising along the levels.
func smooth(rows [][]float64) [][]float64 {
	out := make([][]float64, len(rows))
	for r, row := range rows {
		a, b := rows[max(0, r-1)], rows[min(len(rows)-1, r+1)]
		last := 0.0
		for k, v := range row {
			last = max(last, math.Round((a[k]+2*v+b[k])/4*1e4)/1e4)
			out[r] = append(out[r], last)
		}
	}
	return out
}

// Composers lists the composers of the playings, in their order.
func Composers(got []Playing) []string {
	var out []string
	for _, t := range got {
		if !slices.Contains(out, t.composer) {
			out = append(out, t.composer)
		}
	}
	return out
}

// WriteLeaveOneOut prints, for each composer, how many of the composer's bars the table of all others calls as unusual as a warning and
// as a fail.
func WriteLeaveOneOut(w io.Writer, got []Playing) {
	composers := Composers(got)
	limits := finding.Defaults()
	fmt.Fprintf(w, "Bars as unusual as 1 in %.0f and 1 in %.0f by the table of the other composers, of 1000:\n\n| composer | bars |", 1/limits.RareWarn, 1/limits.RareFail)
	for _, m := range finding.Measures {
		fmt.Fprintf(w, " %s |", m)
	}
	fmt.Fprint(w, "\n|---|---|")
	for range finding.Measures {
		fmt.Fprint(w, "---|")
	}
	fmt.Fprintln(w)
	for _, who := range composers {
		n := Table(got, who)
		warn, fail, bars := map[finding.Measure]int{}, map[finding.Measure]int{}, 0
		for _, t := range got {
			if t.composer != who {
				continue
			}
			bars += t.bars
			for _, m := range finding.Measures {
				for _, v := range t.worst[m] {
					rare := n.Rarity(m, finding.Setting{RT: rts[t.rt], Organ: t.organ}, v)
					if rare <= limits.RareWarn {
						warn[m]++
					}
					if rare <= limits.RareFail {
						fail[m]++
					}
				}
			}
		}
		fmt.Fprintf(w, "| %s | %d |", who, bars)
		for _, m := range finding.Measures {
			fmt.Fprintf(w, " %.0f, %.0f |", 1000*float64(warn[m])/float64(bars), 1000*float64(fail[m])/float64(bars))
		}
		fmt.Fprintln(w)
	}
}
